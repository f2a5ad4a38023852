"""A window of a desk: asks as the page does, by relative addresses and with the page's header."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from types import TracebackType
from typing import Any, Self

import httpx

from primecoat.desk.app import desk_app
from primecoat.desk.held import Desk

PORT = 8123
KEY = "k" * 43
HOST = f"127.0.0.1:{PORT}"


class Client:
    """Asks an application without a server, one whole answer at a time."""

    def __init__(self, app: Any, base: str) -> None:
        self._app = app
        self._base = base

    def request(self, method: str, path: str, **given: Any) -> httpx.Response:
        """Return the answer; asked from a thread of its own, for a browser's loop may run here."""
        with ThreadPoolExecutor(1) as apart:
            return apart.submit(asyncio.run, self._request(method, path, **given)).result()

    def get(self, path: str, **given: Any) -> httpx.Response:
        return self.request("GET", path, **given)

    def post(self, path: str, **given: Any) -> httpx.Response:
        return self.request("POST", path, **given)

    async def _request(self, method: str, path: str, **given: Any) -> httpx.Response:
        content = given.get("content")
        if content is not None and not isinstance(content, bytes):
            given["content"] = _in_pieces(content)
        transport = httpx.ASGITransport(self._app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport) as client:
            return await client.request(method, self._base + path, **given)


async def _in_pieces(content: Iterable[bytes]) -> AsyncIterator[bytes]:
    for piece in content:
        yield piece


class Window:
    """Asks a desk without a server."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        app = desk_app(desk, key=KEY, port=PORT)
        self.client = Client(app, f"http://{HOST}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.desk.work.close()

    def ask(self, path: str, **query: Any) -> httpx.Response:
        return self.client.get(f"/{KEY}/{path}", params=query)

    def get(self, path: str, **query: Any) -> dict[str, Any]:
        answer = self.ask(path, **query)
        assert answer.status_code == 200, answer.text
        return dict(answer.json())

    def send(
        self, path: str, body: object = None, headers: Mapping[str, str] | None = None
    ) -> httpx.Response:
        given = {"X-Primecoat": "1"} if headers is None else dict(headers)
        return self.client.post(
            f"/{KEY}/{path}", json=body if body is not None else {}, headers=given
        )

    def post(self, path: str, **body: Any) -> dict[str, Any]:
        answer = self.send(path, body)
        assert answer.status_code == 200, answer.text
        return dict(answer.json())

    def refused(self, path: str, code: int, **body: Any) -> str:
        """Send what must be refused; return what is said."""
        answer = self.send(path, body)
        assert answer.status_code == code, answer.text
        error = answer.json()["error"]
        assert error["code"] == code
        return f"{error['what']} {error['remedy']}"

    def ids(self) -> dict[str, str]:
        """Return the id of each picture by its path."""
        return {row["path"]: row["id"] for row in self.get("api/images")["rows"]}
