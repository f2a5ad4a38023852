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

_DEFAULT: Chromaticities = (0.640, 0.330, 0.290, 0.600, 0.150, 0.060, 0.3333, 0.3333)


def radiance_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the header lines state about colour, the one that rules first."""
    text = head.start.partition(b"\n\n")[0].decode("latin-1")
    lines = [line.partition("=") for line in text.splitlines()[1:]]
    values: dict[str, list[str]] = {}
    for key, equals, value in lines:
        if equals:
            values.setdefault(key.strip().upper(), []).append(value)
    found: list[ColourStatement] = []
    if any("xyze" in value.lower() for value in values.get("FORMAT", [])):
        words = "FORMAT 32-bit_rle_xyze: CIE XYZ numbers, not RGB"
        found.append(ColourStatement(kind="Radiance XYZE", reading=None, firm=True, words=words))
    for value in values.get("PRIMARIES", [])[-1:]:
        found.extend(_primaries(value))
    found.extend(_factors("EXPOSURE", values.get("EXPOSURE", []), 1))
    found.extend(_factors("COLORCORR", values.get("COLORCORR", []), 3))
    return tuple(found)


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


def _factors(key: str, lines: list[str], count: int) -> Iterable[ColourStatement]:
    product = [1.0] * count
    for line in lines:
        numbers = _numbers(line)
        if len(numbers) == count:
            product = [a * b for a, b in zip(product, numbers, strict=True)]
    if any(factor != 1.0 for factor in product):
        factors = " ".join(f"{factor:g}" for factor in product)
        words = f"{key} {factors}: stored numbers are the original times this"
        yield ColourStatement(kind=f"Radiance {key}", reading=None, firm=False, words=words)
