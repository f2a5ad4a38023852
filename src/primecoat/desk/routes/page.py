"""The page's own files, and the stream of events."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable

from fastapi import APIRouter
from starlette.responses import Response, StreamingResponse

from primecoat.desk.errors import AbsentError
from primecoat.desk.held import Held

router = APIRouter()

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
}
"""Kinds of files that the page is made of; no other is given out."""


@router.get("/events")
async def events(desk: Held) -> StreamingResponse:
    """Tell a window what happens, as server-sent events."""
    desk.events.check_room()
    stream = desk.events.stream(desk.session.state.version)
    return StreamingResponse(stream, media_type="text/event-stream")


@router.get("/{name:path}")
def page_file(name: str) -> Response:
    """Give a file of the page, by its name among the files there are."""
    found = _files().get(name or "index.html")
    if found is None:
        raise AbsentError("There is nothing at this address.", "Go to the desk's page.")
    ending = name[name.rfind(".") :] if name else ".html"
    return Response(found.read_bytes(), media_type=TYPES[ending])


def _files() -> dict[str, Traversable]:
    """Return all files of the page by name: nothing that is asked for is ever made into a path."""
    return dict(_walk(files("primecoat.desk").joinpath("static"), ""))


def _walk(folder: Traversable, before: str) -> list[tuple[str, Traversable]]:
    found: list[tuple[str, Traversable]] = []
    for entry in folder.iterdir():
        if entry.is_dir():
            found += _walk(entry, f"{before}{entry.name}/")
        elif entry.name[entry.name.rfind(".") :] in TYPES:
            found.append((before + entry.name, entry))
    return found
