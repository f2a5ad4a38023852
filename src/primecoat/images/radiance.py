"""Colour statements of a Radiance picture, from its header lines.

Source: G. Ward, *The RADIANCE Picture File Format*. ``EXPOSURE`` and ``COLORCORR`` are already
multiplied into the pixels and add up: original = stored / product of all.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from primecoat.images.encodings import WORDS, Chromaticities, match_primaries, reading_of
from primecoat.images.head import Head
from primecoat.images.header import ColourStatement

SIGNATURE = b"#?R"

XYZE = "32-bit_rle_xyze"
"""FORMAT of a picture in CIE XYZ."""

_LEAST_FACTOR = 1e-9
"""A factor beyond this, or its inverse, is taken for damage (its pixels would leave float32)."""

_NO_FACTOR = 1e-6
"""How far from 1 a product may be by the rounding of its lines."""

FACTORS = ("Radiance EXPOSURE", "Radiance COLORCORR")
"""Kinds of the statements that the stored numbers are the original times something else than 1."""

_DEFAULT: Chromaticities = (0.640, 0.330, 0.290, 0.600, 0.150, 0.060, 0.3333, 0.3333)


def radiance_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the header lines state about colour, the one that rules first."""
    values = _lines(head)
    found: list[ColourStatement] = []
    if any("xyze" in value.lower() for value in values.get("FORMAT", [])):
        words = f"FORMAT {XYZE}: CIE XYZ numbers, not RGB"
        found.append(ColourStatement(kind="Radiance XYZE", reading=None, firm=True, words=words))
    for value in values.get("PRIMARIES", [])[-1:]:
        found.extend(_primaries(value))
    for value in values.get("GAMMA", [])[-1:]:
        found.extend(_gamma(value))
    if any(abs(factor - 1) > _NO_FACTOR for factor in radiance_scale(head)):
        found.extend(_factors("EXPOSURE", values.get("EXPOSURE", []), 1))
        found.extend(_factors("COLORCORR", values.get("COLORCORR", []), 3))
    return tuple(found)


def radiance_scale(head: Head) -> tuple[float, float, float]:
    r"""Return what the stored numbers were multiplied by: all lines of EXPOSURE and COLORCORR.

    Returns
    -------
    tuple of float
        For red, green and blue; divide by it to get the original radiance.

    Examples
    --------
    >>> from io import BytesIO
    >>> radiance_scale(Head(BytesIO(b"#?RADIANCE\nEXPOSURE=2\nEXPOSURE=0.5\nCOLORCORR=1 2 4")))
    (1.0, 2.0, 4.0)
    """
    values = _lines(head)
    (exposure,) = _product(values.get("EXPOSURE", []), 1)
    red, green, blue = _product(values.get("COLORCORR", []), 3)
    return exposure * red, exposure * green, exposure * blue


def radiance_layout(head: Head) -> str:
    """Return the FORMAT line's value, or an empty text."""
    return (_lines(head).get("FORMAT") or [""])[-1].strip()


def _lines(head: Head) -> dict[str, list[str]]:
    """Return the values of each variable, in the order of the lines.

    A line that begins with white space was copied from an earlier picture and does not count.
    """
    text = head.start.partition(b"\n\n")[0].decode("latin-1")
    values: dict[str, list[str]] = {}
    for line in text.splitlines()[1:]:
        key, equals, value = line.partition("=")
        if equals:
            values.setdefault(key.rstrip(), []).append(value)
    return values


def _numbers(text: str) -> tuple[float, ...]:
    try:
        numbers = tuple(float(word) for word in text.split())
    except ValueError:
        return ()
    return numbers if all(math.isfinite(n) for n in numbers) else ()


def _primaries(text: str) -> Iterable[ColourStatement]:
    numbers = _numbers(text)
    if len(numbers) != 8:
        return
    primaries = match_primaries(numbers)
    own = all(abs(a - b) <= 0.001 for a, b in zip(numbers, _DEFAULT, strict=True))
    name = WORDS[primaries] if primaries else "no known"
    words = "Radiance's own default primaries" if own else f"PRIMARIES of {name} space"
    yield ColourStatement(
        kind="Radiance PRIMARIES",
        reading=reading_of("linear", primaries),
        firm=not own,
        words=f"{words} ({text.strip()})",
    )


def _gamma(text: str) -> Iterable[ColourStatement]:
    numbers = _numbers(text)
    if len(numbers) == 1 and numbers[0] not in (0.0, 1.0):
        words = f"GAMMA {numbers[0]:g}: the numbers are not proportional to light"
        yield ColourStatement(kind="Radiance GAMMA", reading=None, firm=True, words=words)


def _product(lines: list[str], count: int) -> tuple[float, ...]:
    """Return the product of lines of so many positive numbers; others are passed over."""
    product = [1.0] * count
    for line in lines:
        numbers = _numbers(line)
        if len(numbers) == count and min(numbers) > 0.0:
            product = [a * b for a, b in zip(product, numbers, strict=True)]
    sane = all(_LEAST_FACTOR <= factor <= 1 / _LEAST_FACTOR for factor in product)
    return tuple(product) if sane else (1.0,) * count


def _factors(key: str, lines: list[str], count: int) -> Iterable[ColourStatement]:
    product = _product(lines, count)
    if any(factor != 1.0 for factor in product):
        factors = " ".join(f"{factor:g}" for factor in product)
        words = (
            f"{key} {factors}: stored numbers are the original times this; it is divided out here, "
            "most readers pass it over"
        )
        yield ColourStatement(kind=f"Radiance {key}", reading=None, firm=False, words=words)
