"""The test card: written beside the scene, and read from a render of it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse, Response

from primecoat import workflow
from primecoat.colour.ids import SPACES
from primecoat.desk.cards import ReadCard
from primecoat.desk.held import Desk, Held
from primecoat.location import printable
from primecoat.report.card_document import card_document
from primecoat.report.card_marks import card_marks
from primecoat.report.card_words import (
    exposure_words,
    read_words,
    sure_words,
    view_words,
    working_words,
)

router = APIRouter()

Word = Annotated[str, Query(max_length=200)]

SIZE = (1600, 1200)
"""The picture is fitted into this."""


class Wanted(BaseModel):
    """The folder that a window said the card would go to; another name writes nothing."""

    model_config = ConfigDict(extra="forbid", strict=True)

    folder: Annotated[str, Field(max_length=200)]


@router.get("/api/card")
def card(desk: Held) -> JSONResponse:
    """Give where the next card would be written, those there are, and renders to read."""
    return JSONResponse(_state(desk))


@router.post("/api/card/write")
def write(desk: Held, body: Wanted) -> JSONResponse:
    """Write a card into the folder that comes next; nothing is written over."""
    made = desk.cards.write(body.folder)
    return JSONResponse(
        {
            **_state(desk),
            "made": {
                "name": made.folder.name,
                "folder": printable(str(made.folder)),
                "files": [path.relative_to(made.folder).as_posix() for path in made.files],
                "cannot": {name: list(words) for name, words in made.record["cannot"].items()},
            },
        }
    )


@router.get("/api/card/read")
def read(
    desk: Held, render: Word, space: Annotated[Word, Query(alias="in")] = "", view: Word = ""
) -> JSONResponse:
    """Say what a render tells of how its program read each input."""
    held = desk.cards.read(render, space or None, view or None)
    found = held.found
    document = card_document(found)
    for told, one in zip(document["inputs"], found.inputs, strict=True):
        told["read_words"] = read_words(one)
        told["sure_words"] = sure_words(one.confidence) if one.answers else ""
    document["render"]["path"] = printable(found.path.name)
    return JSONResponse(
        document
        | {
            "key": held.key,
            "marks": card_marks(found),
            "words": {
                "working": working_words(found),
                "view": list(view_words(found)),
                "exposure": exposure_words(found),
                "shown": _how(held)[1],
            },
        }
    )


@router.get("/picture/card/{key}")
def picture(desk: Held, key: str, display: Word, view: Word) -> Response:
    """Give the render that was read: as it is, or its light through the view of the desk."""
    held = desk.cards.held(key)
    space, _ = _how(held)
    made = workflow.shown(
        held.found.path,
        space or "unknown",
        display=display,
        view=view,
        shape="view" if space else "plain",
        size=SIZE,
        config=held.found.config,
    )
    return Response(made.png, media_type="image/png")


def _how(held: ReadCard) -> tuple[str | None, str]:
    """Return the space whose light is shown, or None for the numbers as they are, and words."""
    found = held.found
    if found.view is not None and found.view.baked:
        return None, "shown as it is: a view is baked in"
    space = held.said_space
    if space is None and found.working_standing in ("settled", "likely"):
        space = found.working[0].reading
    if space is None or SPACES[space].referred != "scene":
        return None, "shown as it is, through no view: nobody knows the space of its numbers"
    return space, f"its numbers taken as {space}, through the view of this desk"


def _state(desk: Desk) -> dict[str, Any]:
    cards = desk.cards
    following = cards.next
    return {
        "next": {"name": following.name, "folder": printable(str(following))},
        "written": [{"name": path.name, "folder": printable(str(path))} for path in cards.written],
        "renders": [
            {"id": id, "name": printable(path.name), "folder": printable(path.parent.name)}
            for id, path in cards.renders().items()
        ],
    }
