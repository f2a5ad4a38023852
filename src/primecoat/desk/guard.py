"""Who may speak to the desk: this page, in this machine's browser, and nobody else.

The address carries a key that no other page can know. Beside it, each request must name this
machine as its host, so that a foreign name that is made to lead here is turned away; if the browser
says which page asks, it must be ours; and what changes anything must be JSON with a header that no
form and no plain request of another page can carry.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from primecoat.desk.errors import error_response, fault_response

KEY_BYTES = 32
"""Random bytes in the key: 256 bits cannot be guessed."""

MARK = "X-Primecoat"
"""Header that every changing request carries, with the value 1."""

BODY_LIMIT = 1_000_000
"""Most bytes of a request's body."""

REQUEST_LIMIT = 64
"""Most requests that are answered at one time."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
"""Headers of every response."""


def new_key() -> str:
    """Return a new random key, safe in an address.

    Examples
    --------
    >>> len(new_key())
    43
    """
    return secrets.token_urlsafe(KEY_BYTES)


class Guard:
    """An application behind the key.

    Parameters
    ----------
    app
        The application; it sees addresses without the key.
    key
        First segment of every path.
    port
        Port that the desk listens on.
    """

    def __init__(self, app: ASGIApp, *, key: str, port: int) -> None:
        self._app = app
        self._key = key.encode()
        self._hosts = (f"127.0.0.1:{port}", f"localhost:{port}")
        self._running = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or turn away."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        sealed = _Sealed(send)
        rest = self._rest(scope["path"])
        if rest is None:
            await Response(status_code=404)(scope, receive, sealed)
        elif refusal := self._refusal(scope, rest):
            await refusal(scope, receive, sealed)
        else:
            self._running += 1
            try:
                await self._answer({**scope, "path": rest, "raw_path": b""}, receive, sealed)
            finally:
                self._running -= 1

    def _rest(self, path: str) -> str | None:
        """Return a path without the key; None if that is not the first segment."""
        _, _, inside = path.partition("/")
        given, slash, rest = inside.partition("/")
        if not hmac.compare_digest(given.encode("utf-8", "surrogatepass"), self._key):
            return None
        return slash + rest

    def _refusal(self, scope: Scope, rest: str) -> Response | None:
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0] not in self._hosts:
            return error_response(403, "The request names another host.", "Use 127.0.0.1.")
        own = f"http://{hosts[0]}"
        if any(origin != own for origin in headers.getlist("origin")):
            return error_response(403, "Another page asks; only the desk may.", "")
        if any(site not in ("same-origin", "none") for site in headers.getlist("sec-fetch-site")):
            return error_response(403, "Another site asks; only the desk may.", "Type the address.")
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return error_response(405, f"The desk takes no {scope['method'][:16]}.", "")
        if self._running >= REQUEST_LIMIT:
            return error_response(503, "Too many requests at one time.", "Try again in a moment.")
        if not rest:
            key = self._key.decode()
            return RedirectResponse(f"{own}/{key}/", status_code=308)
        return _act_refusal(headers) if scope["method"] == "POST" else None

    async def _answer(self, scope: Scope, receive: Receive, send: _Sealed) -> None:
        if scope["method"] == "POST":
            body = await _whole_body(receive)
            if body is None:
                words = f"The request holds more than {BODY_LIMIT} bytes."
                await error_response(413, words, "Send it in parts.")(scope, receive, send)
                return
            receive = _replayed(body, receive)
        try:
            await self._app(scope, receive, send)
        except Exception:  # noqa: BLE001 the last border: our own failure
            if not send.begun:  # else it was told already
                await fault_response()(scope, receive, send)


def _act_refusal(headers: Headers) -> Response | None:
    """Return the refusal of a changing request that a plain form of another page could make."""
    if headers.get(MARK) != "1":
        return error_response(403, f"The header {MARK}: 1 is missing.", "Use the page of the desk.")
    kind = headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        return error_response(415, "What changes anything must come as JSON.", "")
    length = headers.get("content-length", "0")
    if length.isascii() and length.isdigit() and int(length) > BODY_LIMIT:
        words = f"The request holds more than {BODY_LIMIT} bytes."
        return error_response(413, words, "Send it in parts.")
    return None


async def _whole_body(receive: Receive) -> bytes | None:
    """Return the body; None if it is too large, whatever its header says."""
    body = b""
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return body
        body += bytes(message.get("body", b""))
        if len(body) > BODY_LIMIT:
            return None
        if not message.get("more_body", False):
            return body


def _replayed(body: bytes, receive: Receive) -> Receive:
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def again() -> Message:
        return waiting.pop() if waiting else await receive()

    return again


class _Sealed:
    """A way out on which every response gets the desk's headers."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.begun = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.begun = True
            message.setdefault("headers", [])
            headers = MutableHeaders(raw=message["headers"])
            _set_all(headers, HEADERS.items())
            message["headers"] = headers.raw
        await self._send(message)


def _set_all(headers: MutableHeaders, pairs: Iterable[tuple[str, str]]) -> None:
    for name, value in pairs:
        headers[name] = value
