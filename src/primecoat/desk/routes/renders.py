"""The two renders that the desk was opened with: how they are read, seen and differ."""

from __future__ import annotations

import base64
from dataclasses import asdict, replace
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from fastapi import APIRouter, Depends, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse, Response

from primecoat import workflow
from primecoat.desk.errors import AbsentError, error_content
from primecoat.desk.held import Desk, Held
from primecoat.desk.renders import OpenedRenders, TwoRenders
from primecoat.desk.routes.pictures import InBox, IntoSize, Stops, sound
from primecoat.desk.routes.shown import png_response
from primecoat.errors import PrimecoatError, UseError
from primecoat.location import printable
from primecoat.renders.match.adjustment import Adjustment
from primecoat.report.compare_document import compare_document
from primecoat.report.match_document import match_document
from primecoat.report.shown.pair_difference import stops_are_of_the_scene
from primecoat.report.shown.pair_picture import (
    NO_NUMBER,
    Of,
    PairChannels,
    PairShape,
    how_seen,
    key_colours,
)
from primecoat.report.shown.pair_pixel import nits_words_of
from primecoat.report.shown.pair_seen import AS_IT_IS, Look
from primecoat.report.shown.scopes import LEAST_NITS, Counts, Scopes

router = APIRouter()

Key = Annotated[str, Query(min_length=20, max_length=20)]
Number = Annotated[int, Query(ge=0)]
SideOf = Literal["old", "new"]
Word = Annotated[str | None, Field(max_length=200)]

RANGES = ((-12.0, 12.0), (0.05, 10.0), (0.0, 10.0), *(((0.05, 10.0),) * 3), *(((-2.0, 2.0),) * 3))
"""Least and greatest stops, contrast, saturation, slopes and offsets; powers are as slopes."""


class Said(BaseModel):
    """How a person says that the renders are read; what is not named is left to the files."""

    model_config = ConfigDict(extra="forbid", strict=True)

    in_old: Word = None
    in_new: Word = None
    view_old: Word = None
    view_new: Word = None
    display: Word = None


def adjustment_of(numbers: list[float]) -> Adjustment:
    """Return stops, contrast, saturation and, if twelve, slope, offset and power of channels.

    Raises
    ------
    UseError
        If they are not three or twelve, or too large.
    """
    ranges = [*RANGES, *RANGES[3:6]]
    ranges = ranges[: len(numbers)]
    fits = len(numbers) in (3, 12) and all(
        low <= number <= high for number, (low, high) in zip(numbers, ranges, strict=True)
    )
    if not fits:
        raise UseError(
            "The numbers of the match cannot be understood.",
            "Give stops, contrast, saturation; and slope, offset, power of each channel, or none.",
        )
    stops, contrast, saturation, *rest = numbers
    made = Adjustment(stops=stops, contrast=contrast, saturation=saturation)
    if not rest:
        return made
    return replace(
        made,
        slope=(rest[0], rest[1], rest[2]),
        offset=(rest[3], rest[4], rest[5]),
        power=(rest[6], rest[7], rest[8]),
    )


def _adjustment(adjust: str = "") -> Adjustment:
    try:
        numbers = [float(part) for part in adjust.split(",")] if adjust else []
    except ValueError:
        numbers = [np.nan]
    return adjustment_of(numbers) if numbers else AS_IT_IS


Adjusted = Annotated[Adjustment, Depends(_adjustment)]


def renders_of(desk: Desk) -> TwoRenders:
    """Return the renders of a desk.

    Raises
    ------
    AbsentError
        If it was opened without.
    """
    if desk.renders is None:
        raise AbsentError("The desk was opened without renders.", "Name them with --old, --new.")
    return desk.renders


@router.get("/api/renders")
def renders(desk: Held) -> JSONResponse:
    """Say how the two renders are read, or what must be said first."""
    if desk.renders is None:
        return JSONResponse({"old": None, "new": None})
    try:
        return JSONResponse(_state(desk, desk.renders.opened()))
    except PrimecoatError as error:
        return JSONResponse({**_named(desk.renders), "refused": error_content(error)})


@router.post("/api/renders/say")
def say(desk: Held, body: Said) -> JSONResponse:
    """Take how a person says that they are read, for all windows."""
    held = renders_of(desk)
    said = replace(
        held.said,
        in_old=body.in_old or None,
        in_new=body.in_new or None,
        view_old=body.view_old or None,
        view_new=body.view_new or None,
        display=body.display or None,
    )
    return JSONResponse(_state(desk, held.say(said)))


@router.get("/api/renders/now")
def now(desk: Held) -> JSONResponse:
    """Say what stands for the renders as they are read now; null where they cannot be shown."""
    try:
        return JSONResponse({"key": renders_of(desk).opened().key})
    except PrimecoatError:
        return JSONResponse({"key": None})


@router.get("/api/renders/comparison")
def comparison(desk: Held, key: Key) -> JSONResponse:
    """Say how they differ, as ``compare`` does."""
    return JSONResponse(compare_document(renders_of(desk).compared(key)))


@router.get("/picture/render/{of}")
def picture(
    desk: Held,
    of: Of,
    key: Key,
    box: InBox,
    size: IntoSize,
    adjustment: Adjusted,
    frame: Number = 0,
    stops: Stops = 0.0,
    channels: PairChannels = "rgb",
    shape: Annotated[PairShape, Query(alias="as")] = "view",
    end: Annotated[float, Query(gt=0, le=1000)] = 10.0,
    quick: bool = False,
) -> Response:
    """Give a picture of one render, or of where they differ, as PNG."""
    made = workflow.render_picture(
        renders_of(desk).expect(key).sight(frame),
        of,
        adjustment=adjustment,
        stops=stops,
        shape=shape,
        channels=channels,
        box=box,
        size=size,
        end=end,
        quick=quick,
    )
    return png_response(made)


@router.get("/api/renders/pixel")
def pixel(
    desk: Held,
    key: Key,
    x: int,
    y: int,
    adjustment: Adjusted,
    frame: Number = 0,
    stops: Stops = 0.0,
) -> JSONResponse:
    """Give the numbers of one pixel of both, and how they differ."""
    sight = renders_of(desk).expect(key).sight(frame)
    found = workflow.render_pixel(sight, x, y, adjustment=adjustment, stops=stops)
    return JSONResponse(sound(asdict(found)))


@router.get("/api/renders/scopes")
def scopes(
    desk: Held,
    key: Key,
    side: SideOf,
    adjustment: Adjusted,
    frame: Number = 0,
    stops: Stops = 0.0,
    quick: bool = False,
) -> JSONResponse:
    """Count the pixels of one render as it is seen."""
    sight = renders_of(desk).expect(key).sight(frame)
    found = workflow.render_scopes(sight, side, adjustment=adjustment, stops=stops, quick=quick)
    return JSONResponse(_scopes(found))


@router.get("/api/renders/chromaticity")
def chromaticity(desk: Held, key: Key, side: SideOf, frame: Number = 0) -> JSONResponse:
    """Give where the colours of one render lie in u'v', as its file has them."""
    pair = renders_of(desk).expect(key).sight(frame).pair
    render = pair.a if side == "old" else pair.b
    found = workflow.chromaticity_of(
        render.path, render.space, layer=render.layer, config=pair.config
    )
    return JSONResponse(sound(asdict(found)))


def _named(held: TwoRenders) -> dict[str, Any]:
    said = held.said
    return {
        "old": printable(said.old),
        "new": printable(said.new),
        "said": {name: getattr(said, name) for name in Said.model_fields},
        "corrections": None
        if said.corrections is None
        else printable(Path(said.corrections).as_posix()),
        "sides": sound(dict(held.sides())),
        "refused": None,
    }


def _state(desk: Desk, opened: OpenedRenders) -> dict[str, Any]:
    held = renders_of(desk)
    first = opened.sights[0][1]
    pair = first.pair
    fit = held.fit(opened.key)
    return {
        **_named(held),
        "key": opened.key,
        "size": [pair.a.width, pair.a.height],
        "frames": [number for number, _ in opened.sights] if len(opened.sights) > 1 else [],
        "screen": pair.screen_id or pair.screen,
        "nits_words": nits_words_of(first),
        "how": {
            "old": printable(how_seen(first, "old", Look())),
            "new": printable(how_seen(first, "new", Look())),
        },
        "stops_of": "scene" if stops_are_of_the_scene(first) else "display",
        "alpha": [pair.a.alpha, pair.b.alpha],
        "scene_referred": {
            "old": not pair.a.display_referred,
            "new": not pair.b.display_referred,
        },
        "colours": {of: [_hex(c) for c in key_colours(of)] for of in ("difference", "stops")},
        "nothing": _hex(NO_NUMBER),
        "match": None if fit is None else fit_content(fit),
        "saved": [
            {"name": look.name, "folder": printable(str(look.folder))} for look in desk.looks.saved
        ],
    }


def fit_content(found: Any) -> dict[str, Any]:
    """Return a match, each step with the numbers that its controls start from."""
    document = match_document(found, ())
    for told, step in zip(document["steps"], found.steps, strict=True):
        told["adjust"] = adjust_numbers(step.adjustment)
    return document


def adjust_numbers(adjustment: Adjustment) -> list[float]:
    """Return the twelve numbers of an adjustment, in the order of :func:`adjustment_of`."""
    return [
        adjustment.stops,
        adjustment.contrast,
        adjustment.saturation,
        *adjustment.slope,
        *adjustment.offset,
        *adjustment.power,
    ]


def _hex(colour: tuple[int, ...]) -> str:
    return f"#{bytes(colour).hex()}"


def _scopes(found: Scopes) -> dict[str, Any]:
    return {
        "codes": [_density(channel) for channel in found.codes],
        "nits": _density(found.nits),
        "columns": found.codes.shape[2],
        "levels": [found.codes.shape[1], found.nits.shape[0]],
        "least_nits": LEAST_NITS,
        "most_nits": found.most_nits,
        "histogram": found.histogram.tolist(),
        "below": found.below,
        "above": found.above,
        "dark": found.dark,
        "pixels": found.pixels,
        "not_finite": found.not_finite,
        "exact": found.exact,
    }


def _density(counts: Counts) -> str:
    """Return counts as ink, 0 to 255 by their logarithm, row by row from the bottom; base64."""
    most = np.log1p(max(1, int(counts.max())))
    ink = np.rint(255.0 * np.log1p(counts) / most).astype(np.uint8)
    return base64.b64encode(ink.tobytes()).decode("ascii")
