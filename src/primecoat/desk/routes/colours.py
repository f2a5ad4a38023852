"""Picked colours, lights, what cannot be kept exact, and one colour in every space."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.responses import JSONResponse

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.colour.primaries import Triple
from primecoat.colour.seen import codes_of
from primecoat.desk.held import Held
from primecoat.location import printable
from primecoat.report.survey_document import product_document
from primecoat.report.swatch_document import gains_document, hex_of, swatch_document
from primecoat.workflow.seen_colours import OLD_VIEW, SeenColour, seen_colours

router = APIRouter()

MOST = 500
"""Most rows of one answer."""


@router.get("/api/colours")
def colours(
    desk: Held,
    words: str = "",
    begin: Annotated[int, Query(alias="from", ge=0)] = 0,
    count: Annotated[int, Query(ge=0, le=MOST)] = 100,
    display: str = "",
    view: str = "",
    old_display: str = "",
    old_view: str = "",
) -> JSONResponse:
    """Give one range of the colours and lights, before and after."""
    state = desk.session.state
    readings = state.survey.readings
    old, new = _views(readings.config, (old_display, old_view), (display, view))
    wanted = words.casefold().split()
    values = [*(("colour", v) for v in readings.colours), *(("light", v) for v in readings.lights)]
    found = [
        (kind, value)
        for kind, value in values
        if all(
            word
            in f"{value.scene.name}\n{value.value.location}\n{value.value.owner}\n"
            f"{value.value.slot}\n{value.reading}".casefold()
            for word in wanted
        )
    ]
    chosen = found[begin : begin + count]
    seen = seen_colours(
        [value for _, value in chosen], readings.to_space, readings.config, old=old, new=new
    )
    return JSONResponse(
        {
            "version": state.version,
            "total": len(found),
            "all": len(values),
            "to": readings.to_space,
            "old": {"display": old[0], "view": old[1]},
            "new": {"display": new[0], "view": new[1]},
            "rows": [_row(kind, one) for (kind, _), one in zip(chosen, seen, strict=True)],
            "products": [product_document(product) for product in readings.products[:MOST]],
        }
    )


@router.get("/api/swatch")
def swatch(
    desk: Held,
    colour: Annotated[str, Query(max_length=200)],
    space: Annotated[str, Query(alias="in", max_length=200)] = "",
    through: str = "",
    against: str = "",
    display: str = DEFAULT_DISPLAY,
) -> JSONResponse:
    """Say one colour in every space."""
    readings = desk.session.state.survey.readings
    found = workflow.swatch(
        colour,
        space=space or None,
        to_space=readings.to_space,
        config=readings.config,
        through=through or None,
        against=against or None,
        display=display,
    )
    return JSONResponse(swatch_document(found))


@router.get("/api/gains")
def gains(
    desk: Held,
    gains: Annotated[str, Query(max_length=200)],
    space: Annotated[str, Query(alias="from", max_length=200)],
) -> JSONResponse:
    """Say white-balance gains anew for the working space."""
    readings = desk.session.state.survey.readings
    moved = workflow.gains(
        gains, from_space=space, to_space=readings.to_space, config=readings.config
    )
    return JSONResponse(gains_document(moved, readings.config))


def _views(
    config: str, old: tuple[str, str], new: tuple[str, str]
) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the views that are asked for; what is left open is the usual, else the first."""
    known = workflow.views(config)

    def chosen(asked: tuple[str, str], usual: str) -> tuple[str, str]:
        display = asked[0] or DEFAULT_DISPLAY
        wanted = (display, asked[1] or usual)
        if wanted in known or asked[1]:
            return wanted
        return next((pair for pair in known if pair[0] == display), known[0])

    return chosen(old, OLD_VIEW), chosen(new, DEFAULT_VIEW)


def _row(kind: str, seen: SeenColour) -> dict[str, Any]:
    colour, value = seen.colour, seen.colour.value
    return {
        "kind": kind,
        "scene": printable(colour.scene.name),
        "location": printable(str(value.location)),
        "owner": printable(value.owner),
        "slot": value.slot,
        "value": list(value.value),
        "count": value.count,
        "max": list(value.maximum) if value.maximum else None,
        "kelvin": value.kelvin,
        "reading": colour.reading,
        "why": printable(colour.why),
        "working": list(colour.working) if colour.working else None,
        "working_max": list(colour.working_maximum) if colour.working_maximum else None,
        "before": _codes(seen.before),
        "after": _codes(seen.after),
        "unconverted": _codes(seen.unconverted),
    }


def _codes(numbers: Triple | None) -> dict[str, Any] | None:
    if numbers is None:
        return None
    codes = codes_of(numbers)
    return {"hex": hex_of(codes), "codes": list(codes), "numbers": list(numbers)}
