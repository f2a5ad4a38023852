"""A person's word on pictures, and the last word taken back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse

from primecoat.desk.held import Held
from primecoat.location import printable

router = APIRouter()

IDS = 50_000
"""Most pictures of one word."""


class Word(BaseModel):
    """A person's word on some pictures."""

    model_config = ConfigDict(extra="forbid", strict=True)

    version: int
    ids: Annotated[list[str], Field(min_length=1, max_length=IDS)]
    reading: Annotated[str, Field(max_length=200)]
    because: Annotated[str, Field(max_length=4000)] = ""


class Back(BaseModel):
    """How many acts are taken back."""

    model_config = ConfigDict(extra="forbid", strict=True)

    version: int
    steps: Annotated[int, Field(ge=1, le=100)] = 1


@router.post("/api/decide")
def decide(desk: Held, word: Word) -> JSONResponse:
    """Write a person's word to the decisions file, and judge anew."""
    state, decided, unknown = desk.session.decide(
        word.version, word.ids, word.reading, word.because
    )
    refused = [{"id": id, "what": "The survey has no such picture."} for id in unknown]
    return JSONResponse({"version": state.version, "decided": list(decided), "refused": refused})


@router.post("/api/undecide")
def undecide(desk: Held, back: Back) -> JSONResponse:
    """Put the decisions back as they were before the last act."""
    state, paths = desk.session.take_back(back.version, back.steps)
    return JSONResponse(
        {"version": state.version, "undecided": [printable(path) for path in paths]}
    )
