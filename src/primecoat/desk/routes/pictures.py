"""Pictures of a picture under a reading, and its numbers."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated, Any

import numpy as np
from fastapi import APIRouter, Depends, Query
from starlette.responses import JSONResponse, Response

from primecoat.colour.ids import UNKNOWN
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.desk.held import Desk, Held
from primecoat.desk.routes.shown import png_response
from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.location import printable
from primecoat.report.shown.counts import Of
from primecoat.report.shown.frame import Box
from primecoat.report.shown.lit import Green
from primecoat.report.shown.wanted import Channels, Shape
from primecoat.workflow.shown import chromaticity_of, histogram_of, probed, shown

router = APIRouter()

MOST_PIXELS = 16_000_000
"""Most pixels of one picture that is given out: larger than any screen."""


def _box(box: str = "") -> Box | None:
    numbers = _whole(box, 4, "box", "x,y,w,h")
    return (numbers[0], numbers[1], numbers[2], numbers[3]) if numbers else None


def _size(size: str = "") -> tuple[int, int]:
    numbers = _whole(size, 2, "size", "w,h") or (4000, 4000)
    if numbers[0] * numbers[1] > MOST_PIXELS:
        raise UseError(f"A picture of {size} pixels is too large to show.", "Ask for a part of it.")
    return numbers[0], numbers[1]


def _whole(text: str, count: int, what: str, form: str) -> tuple[int, ...]:
    if not text:
        return ()
    try:
        found = tuple(int(part) for part in text.split(","))
    except ValueError:
        found = ()
    if len(found) != count or any(abs(number) > 1 << 24 for number in found):
        raise UseError(f"The {what} {text!r} cannot be understood.", f"Give whole numbers {form}.")
    return found


InBox = Annotated[Box | None, Depends(_box)]
IntoSize = Annotated[tuple[int, int], Depends(_size)]
Stops = Annotated[float, Query(ge=-32, le=32)]
Number = Annotated[int, Query(ge=0)]


@router.get("/picture/{id}")
def picture(
    desk: Held,
    id: str,
    box: InBox,
    size: IntoSize,
    reading: str = "",
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    stops: Stops = 0.0,
    channels: Channels = "rgb",
    shape: Annotated[Shape, Query(alias="as")] = "view",
    layer: str = "",
    frame: Number = 0,
    green: Green = "up",
    quick: bool = False,
) -> Response:
    """Give a picture as PNG, labelled for its display."""
    image, own = _image(desk, id)
    made = shown(
        image,
        reading or own,
        working=_working(desk),
        display=display,
        view=view,
        stops=stops,
        shape=shape,
        channels=channels,
        box=box,
        size=size,
        layer=layer,
        frame=frame,
        green=green,
        quick=quick,
        config=_config(desk),
    )
    return png_response(made)


@router.get("/probe/{id}")
def pixel(
    desk: Held,
    id: str,
    x: int,
    y: int,
    reading: str = "",
    display: str = DEFAULT_DISPLAY,
    view: str = DEFAULT_VIEW,
    stops: Stops = 0.0,
    layer: str = "",
    frame: Number = 0,
) -> JSONResponse:
    """Give the numbers of one pixel; those that are not finite as words."""
    image, own = _image(desk, id)
    found = probed(
        image,
        x,
        y,
        reading or own,
        working=_working(desk),
        display=display,
        view=view,
        stops=stops,
        layer=layer,
        frame=frame,
        config=_config(desk),
    )
    return JSONResponse(sound(asdict(found)))


@router.get("/histogram/{id}")
def histogram(
    desk: Held,
    id: str,
    box: InBox,
    reading: str = "",
    of: Of = "file",
    log: bool = False,
    layer: str = "",
    frame: Number = 0,
) -> JSONResponse:
    """Give how often each number is met, and the heights of a drawing of it."""
    image, own = _image(desk, id)
    found = histogram_of(
        image,
        reading or own,
        of=of,
        working=_working(desk),
        box=box,
        layer=layer,
        frame=frame,
        config=_config(desk),
    )
    return JSONResponse({**sound(asdict(found)), "heights": found.heights(log=log)})


@router.get("/chromaticity/{id}")
def chromaticity(
    desk: Held, id: str, box: InBox, reading: str = "", layer: str = "", frame: Number = 0
) -> JSONResponse:
    """Give where the colours lie in u'v', and the gamuts."""
    image, own = _image(desk, id)
    found = chromaticity_of(
        image, reading or own, box=box, layer=layer, frame=frame, config=_config(desk)
    )
    return JSONResponse(sound(asdict(found)))


def _image(desk: Desk, id: str) -> tuple[ImageRecord, str]:
    """Return a picture by its id, and the reading it is taken for if none is asked."""
    _, image = desk.session.state.image(id)
    return image.record, image.reading or UNKNOWN


def _working(desk: Desk) -> str:
    return desk.session.state.survey.readings.to_space


def _config(desk: Desk) -> str:
    return desk.session.state.survey.readings.config or DEFAULT_CONFIG


def sound(value: Any) -> Any:
    """Return a document without numbers that JSON does not have."""
    if isinstance(value, dict):
        return {key: sound(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [sound(one) for one in value]
    if isinstance(value, float) and not np.isfinite(value):
        return str(value)
    return printable(value) if isinstance(value, str) else value
