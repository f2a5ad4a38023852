"""The numbers of one pixel of two renders, and how they differ."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.errors import UseError
from primecoat.renders.match.sight import Sight
from primecoat.renders.screen_light import screen_light
from primecoat.report.shown.bands import Stored, numbers, stored_bands
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.pair_difference import colour_difference, stops_between
from primecoat.report.shown.pair_seen import (
    Floats,
    Look,
    Side,
    codes_of,
    light_seen,
    planes_of_render,
    render_of,
    source_of_render,
    straight,
)
from primecoat.report.shown.png import rounded

_ROWS = 32
"""Rows that are decoded together, for the next question is about a pixel near by."""

_NITS = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RenderPixel:
    """The numbers of one pixel of one render.

    Parameters
    ----------
    channels, stored
        Names of the channels, alpha last, and the type they are stored in.
    file
        Numbers as stored: codes of whole numbers, values of floats.
    space
        Color Interop ID of them.
    light
        Linear AP1, after exposure and match; None of a display-referred render.
    display, display_255
        Display codes as it is seen, and those of 8 bits.
    nits
        Luminance on the display in cd/m².
    """

    channels: tuple[str, ...]
    stored: str
    file: tuple[float, ...]
    space: str
    light: tuple[float, ...] | None
    display: tuple[float, ...]
    display_255: tuple[int, ...]
    nits: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PairPixel:
    """The numbers of one pixel of two renders.

    Parameters
    ----------
    x, y
        Column and row.
    old, new
        Numbers of each.
    ciede2000
        Colour difference as both are seen; None where one is not finite.
    stops
        Exposure difference; None where there is no light.
    nits_words
        By which standard codes count as cd/m².
    """

    x: int
    y: int
    old: RenderPixel
    new: RenderPixel
    ciede2000: float | None
    stops: float | None
    nits_words: str


def pair_pixel(sight: Sight, x: int, y: int, look: Look) -> PairPixel:
    """Return the numbers of one pixel, nothing averaged.

    Raises
    ------
    UseError
        If the renders have no such pixel.
    ImageError
        If the pixels cannot be decoded.
    """
    render = sight.pair.a
    if not (0 <= x < render.width and 0 <= y < render.height):
        raise UseError(
            f"There is no pixel {x}, {y} in the renders.",
            f"They have {render.width} columns and {render.height} rows, counted from 0.",
        )
    old, new = (_rgb(sight, side, x, y) for side in _SIDES)
    codes = codes_of(sight, "old", old[1], look), codes_of(sight, "new", new[1], look)
    ciede = float(colour_difference(sight, *codes)[0])
    stops = float(stops_between(sight, (old[1], new[1]), codes, look)[0])
    known = bool(np.isfinite(old[1]).all() and np.isfinite(new[1]).all())
    return PairPixel(
        x=x,
        y=y,
        old=_pixel(sight, "old", *old, codes[0], look),
        new=_pixel(sight, "new", *new, codes[1], look),
        ciede2000=ciede if known and np.isfinite(ciede) else None,
        stops=stops if known and np.isfinite(stops) else None,
        nits_words=nits_words_of(sight),
    )


_SIDES: tuple[Side, Side] = ("old", "new")


def nits_words_of(sight: Sight) -> str:
    """Return by which standard codes count as cd/m²."""
    id = sight.pair.screen_id
    curve = SPACES[id].curve if id is not None else ""
    if curve == "pq":
        return "absolute, by SMPTE ST 2084 (ITU-R BT.2100, table 4)"
    if curve == "hlg":
        return "on a display of 1000 cd/m² with system gamma 1.2 (ITU-R BT.2100, table 5)"
    if not curve:
        return "as the config describes the display; 1 in its display reference is 100 cd/m²"
    return "on a display whose white is 100 cd/m²"


def _rgb(sight: Sight, side: Side, x: int, y: int) -> tuple[Stored, Floats]:
    """Return a pixel as stored, and its colour as numbers, shape (1, 3)."""
    render = render_of(sight, side)
    planes, source = planes_of_render(render), source_of_render(render)
    first = y // _ROWS * _ROWS
    box = (0, first, render.width, min(_ROWS, render.height - first))

    def read() -> Stored:
        with source.opened() as path:
            return np.concatenate([band for _, band in stored_bands(path, planes, box)])

    rows = KEPT.get(("rows", source.key(), planes, box), read, lambda made: made.nbytes)
    pixel = rows[y - first, x]
    found = numbers(pixel)
    count = len(planes.colour)
    colour = np.resize(found[:count], 3)[None]
    alpha = found[count:] if render.alpha else None
    return pixel, straight(np.ascontiguousarray(colour, np.float32), alpha, render)


def _pixel(
    sight: Sight, side: Side, stored: Stored, rows: Floats, codes: Floats, look: Look
) -> RenderPixel:
    render, pair = render_of(sight, side), sight.pair
    shown = np.clip(np.nan_to_num(codes, nan=0.0, posinf=1.0, neginf=0.0), 0, 1)
    xyz = screen_light(np.asarray(shown, np.float32), pair.screen, pair.screen_id, pair.config)
    light = None if render.display_referred else light_seen(sight, side, rows, look)
    return RenderPixel(
        channels=planes_of_render(render).names,
        stored=str(stored.dtype),
        file=tuple(stored.tolist()),
        space=render.space,
        light=None if light is None else tuple(light[0].tolist()),
        display=tuple(codes[0].tolist()),
        display_255=tuple(rounded(codes)[0].tolist()),
        nits=_NITS * float(xyz[0, 1]),
    )
