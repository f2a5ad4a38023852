"""A colour as a person writes it: code values, numbers, or a temperature."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from primecoat.colour.ids import SPACES, reading_named
from primecoat.colour.lamp import TEMPERATURE_SPACE
from primecoat.colour.locus import temperature_rgb
from primecoat.colour.primaries import Triple
from primecoat.errors import UseError

HEX_SPACE: Final = "srgb_rec709_scene"
"""Reading of ``#rrggbb`` when nothing else is said (common practice, no source)."""

MOST: Final = 65504.0
"""Greatest number taken: the largest finite half float (IEEE 754-2008, binary16)."""

_FORMS: Final = "Write '#b5651d', '0.2,0.1,0.05' with --in SPACE, or 3200K."
_HEX: Final = re.compile(r"#?([0-9a-f]{6})", re.IGNORECASE)
_KELVIN: Final = re.compile(r"(\d+(?:\.\d+)?) ?k", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picked:
    """Three numbers and their reading.

    Parameters
    ----------
    rgb
        Numbers as written; code values are divided by 255; a temperature has luminance 1.
    space
        Color Interop ID; None if the text says none.
    """

    rgb: Triple
    space: str | None


def parse_colour(text: str) -> Picked:
    """Read a colour.

    Parameters
    ----------
    text
        ``#rrggbb``, three numbers with commas, or a temperature of a black body such as ``3200K``.

    Raises
    ------
    UseError
        If it is none of these, or a number is not finite or beyond a half float.

    Examples
    --------
    >>> parse_colour("#ff0000")
    Picked(rgb=(1.0, 0.0, 0.0), space='srgb_rec709_scene')
    >>> parse_colour("0.18,0.18,0.18").space is None
    True
    """
    words = text.strip()
    if found := _HEX.fullmatch(words):
        red, green, blue = (code / 255.0 for code in bytes.fromhex(found[1]))
        return Picked(rgb=(red, green, blue), space=HEX_SPACE)
    if found := _KELVIN.fullmatch(words):
        return Picked(
            rgb=temperature_rgb(float(found[1]), TEMPERATURE_SPACE), space=TEMPERATURE_SPACE
        )
    return Picked(rgb=parse_triple(words), space=None)


def is_temperature(text: str) -> bool:
    """Whether a text is written as a temperature."""
    return _KELVIN.fullmatch(text.strip()) is not None


def parse_triple(text: str) -> Triple:
    """Read three finite numbers with commas.

    Raises
    ------
    UseError
        If there are not three, or one is not finite or beyond a half float.

    Examples
    --------
    >>> parse_triple("1.2, 1, 0.8")
    (1.2, 1.0, 0.8)
    """
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != 3:
        raise UseError(f"{text!r} is no colour.", _FORMS)
    if not all(math.isfinite(number) and abs(number) <= MOST for number in numbers):
        raise UseError(
            f"{text!r} has a number that is not finite or beyond {MOST:g}.",
            "Give three numbers that a half float can hold.",
        )
    red, green, blue = numbers
    return red, green, blue


def space_named(name: str) -> str:
    """Return the Color Interop ID of a colour space by its ID or a well-known name.

    Raises
    ------
    UseError
        If there is no such space; ``data`` is none.

    Examples
    --------
    >>> space_named("ACEScg")
    'lin_ap1_scene'
    """
    found = reading_named(name)
    if found not in SPACES:
        raise UseError(f"There is no colour space {name}.", f"Use one of: {', '.join(SPACES)}.")
    return str(found)
