"""The numbers of one pixel: as stored, in the working space, on the display, and as light."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import check_view, display_reading, display_xyz
from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.bands import Stored, numbers, stored_bands
from primecoat.report.shown.frame import Box
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.opened import Opened, open_picture
from primecoat.report.shown.png import rounded
from primecoat.report.shown.seen import display_codes, working_values
from primecoat.report.shown.wanted import Wanted, check_wanted

_ROWS = 32
"""Rows that are decoded together, for the next question is about a pixel near by."""

_NITS = 100.0
"""cd/m² of Y 1 in the display reference space of OpenColorIO."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """The numbers of one pixel.

    Parameters
    ----------
    x, y
        Column and row.
    channels
        Names of the file's channels, alpha last.
    stored
        Type they are stored in.
    file
        Numbers as stored: codes of whole numbers, values of floats.
    working
        Red, green and blue in the working space, exposed; None for data.
    display, display_255
        Display codes, and those of 8 bits; None for data.
    nits
        Luminance on the display in cd/m²; None for data.
    nits_words
        By which standard.
    """

    x: int
    y: int
    channels: tuple[str, ...]
    stored: str
    file: tuple[float, ...]
    working: tuple[float, float, float] | None
    display: tuple[float, float, float] | None
    display_255: tuple[int, int, int] | None
    nits: float | None
    nits_words: str


def probe(image: ImageRecord | Path | str, x: int, y: int, wanted: Wanted) -> Probe:
    """Return the numbers of one pixel of the file, nothing averaged.

    Raises
    ------
    UseError
        If the picture has no such pixel, or there is no such reading, display or view.
    ImageError
        If the pixels cannot be decoded.
    """
    check_wanted(wanted)
    check_view(wanted.viewing.display, wanted.viewing.view, wanted.viewing.config)
    opened = open_picture(image, layer=wanted.layer, frame=wanted.frame)
    if not (0 <= x < opened.width and 0 <= y < opened.height):
        raise UseError(
            f"There is no pixel {x}, {y} in {opened.source.name}.",
            f"It has {opened.width} columns and {opened.height} rows, counted from 0.",
        )
    first = y // _ROWS * _ROWS
    rows = _rows(opened, first)
    pixel = rows[y - first, x]
    base = Probe(
        x=x,
        y=y,
        channels=opened.planes.names,
        stored=str(pixel.dtype),
        file=tuple(pixel.tolist()),
        working=None,
        display=None,
        display_255=None,
        nits=None,
        nits_words=f"The reading is {wanted.reading}: a number that makes no light.",
    )
    if not wanted.is_colour:
        return base
    colour = numbers(pixel[: len(opened.planes.colour)])
    rgb = np.resize(colour, 3) if len(colour) == 1 else np.append(colour, [0] * (3 - len(colour)))
    rgb = np.asarray(rgb, np.float32)[None]
    working = working_values(rgb, wanted.reading, wanted.viewing)
    codes = display_codes(rgb, wanted.reading, wanted.viewing)
    how = wanted.viewing
    xyz = display_xyz(np.clip(codes, 0, 1), how.display, how.view, how.config)
    red, green, blue = working[0].tolist()
    code_r, code_g, code_b = codes[0].tolist()
    r8, g8, b8 = rounded(codes)[0].tolist()
    return replace(
        base,
        working=(red, green, blue),
        display=(code_r, code_g, code_b),
        display_255=(r8, g8, b8),
        nits=_NITS * float(xyz[0, 1]),
        nits_words=nits_words(how.display, how.view, how.config),
    )


def nits_words(display: str, view: str, config: str) -> str:
    """Return by which standard codes of a display count as cd/m².

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> nits_words("Rec.2100-PQ - Display", "ACES 2.0 - HDR 1000 nits (Rec.2020)", DEFAULT_CONFIG)
    'absolute, by SMPTE ST 2084 (ITU-R BT.2100, table 4)'
    """
    try:
        curve = SPACES[display_reading(display, view, config)].curve
    except UseError:
        return "as the config describes the display; 1 in its display reference is 100 cd/m²"
    if curve == "pq":
        return "absolute, by SMPTE ST 2084 (ITU-R BT.2100, table 4)"
    if curve == "hlg":
        return "on a display of 1000 cd/m² with system gamma 1.2 (ITU-R BT.2100, table 5)"
    return (
        "on a display whose white is 100 cd/m², as the views for SDR say (the reference screen of "
        "IEC 61966-2-1 itself has 80)"
    )


def _rows(opened: Opened, first: int) -> Stored:
    count = min(_ROWS, opened.height - first)
    box = (0, first, opened.width, count)

    key = ("rows", opened.source.key(), opened.planes, box)
    return KEPT.get(
        key,
        lambda: in_worker(opened.source.name, _read, opened, box),
        lambda rows: rows.nbytes,
    )


def _read(opened: Opened, box: Box) -> Stored:
    with opened.source.opened() as path:
        return np.concatenate([band for _, band in stored_bands(path, opened.planes, box)])
