"""The match of the two renders: fit, numbers by hand, and what is written of it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse

from primecoat import workflow
from primecoat.desk.errors import AbsentError
from primecoat.desk.held import Held
from primecoat.desk.renders import TwoRenders
from primecoat.desk.routes.renders import (
    Adjusted,
    Key,
    adjust_numbers,
    adjustment_of,
    fit_content,
    renders_of,
)
from primecoat.desk.work import Teller
from primecoat.location import printable
from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.model import Match
from primecoat.report.match_document import match_document

router = APIRouter()

KeyText = Annotated[str, Field(min_length=20, max_length=20)]


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class Fit(_Body):
    """Which renders are matched, and whether each channel gets numbers of its own."""

    key: KeyText
    channels: bool = False


class Chosen(_Body):
    """Numbers that a person chose: three, or twelve."""

    key: KeyText
    adjust: Annotated[list[float], Field(min_length=3, max_length=12)]


class Taken(_Body):
    """Name of a look that this desk wrote."""

    name: Annotated[str, Field(max_length=40)]


@router.post("/api/renders/fit")
def fit(desk: Held, body: Fit) -> JSONResponse:
    """Match the new render to the old one, in the desk's thread for long work."""
    held = renders_of(desk)
    opened = held.expect(body.key)
    said = opened.said

    def work(teller: Teller) -> Match:
        found = workflow.match(
            said.old,
            said.new,
            **said.said(),
            **said.said_of_old(),
            channels=body.channels,
            config=held.config,
            progress=teller.called("matching"),
        )
        held.take_fit(body.key, found)  # before the windows are told that it is done
        return found

    found = desk.work.run("match", work)
    return JSONResponse(fit_content(found))


@router.get("/api/renders/left")
def left(desk: Held, key: Key, adjustment: Adjusted) -> JSONResponse:
    """Say what is left after numbers that a person chose."""
    held = renders_of(desk)
    held.expect(key)
    found = _by_hand(_fitted(held, key), adjustment)
    document = match_document(found, ())
    told = ("step", "exposure_stops", "contrast", "saturation", "cdl", "residual")
    return JSONResponse(
        {
            **{name: document[name] for name in told},
            "adjust": adjust_numbers(found.result.adjustment),
        }
    )


@router.post("/api/renders/save")
def save(desk: Held, body: Chosen) -> JSONResponse:
    """Write the look; the files are those of ``match --out``."""
    held = renders_of(desk)
    held.expect(body.key)
    found = _by_hand(_fitted(held, body.key), adjustment_of(body.adjust))
    look = desk.looks.save(found)
    return JSONResponse(
        {
            **match_document(found, look.written),
            "name": look.name,
            "folder": printable(str(look.folder)),
            "names": [one.path.name for one in look.written],
        }
    )


@router.post("/api/renders/take-away")
def take_away(desk: Held, body: Taken) -> JSONResponse:
    """Remove the files of a look that this desk wrote."""
    gone = desk.looks.take_away(body.name)
    return JSONResponse({"removed": [printable(str(path)) for path in gone]})


def _fitted(held: TwoRenders, key: str) -> Match:
    found = held.fit(key)
    if found is None:
        raise AbsentError("These renders were not matched yet.", "Fit them first.")
    return found


def _by_hand(found: Match, adjustment: Adjustment) -> Match:
    return workflow.match_by_hand(
        found,
        stops=adjustment.stops,
        contrast=adjustment.contrast,
        saturation=adjustment.saturation,
        slope=adjustment.slope,
        offset=adjustment.offset,
        power=adjustment.power,
    )
