"""What four coding-independent code points say of colour (PNG's cICP chunk, ICC's cicp tag).

Sources: ITU-T H.273 (the codes); ASWF Color Interop Forum, *Color Space Encodings for Displays*
v1.0.0 (their meaning as colour spaces; 1 = BT.709 shown through BT.1886).
"""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import Curve, Primaries
from primecoat.images.encodings import WORDS, reading_of

_PRIMARIES: dict[int, Primaries] = {1: "rec709", 9: "rec2020", 10: "ciexyzd65", 12: "p3d65"}
_CURVES: dict[int, Curve] = {
    1: "g24",
    4: "g22",
    8: "linear",
    13: "srgb",
    16: "pq",
    17: "g26",
    18: "hlg",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CodePoints:
    """What the code points come to; the fields are those of a colour statement."""

    reading: str | None
    firm: bool
    words: str


def judge_code_points(body: bytes) -> CodePoints:
    """Return what colour primaries, transfer function, matrix and range flag mean together.

    Parameters
    ----------
    body
        The four code points, one byte each.

    Examples
    --------
    >>> judge_code_points(bytes([12, 13, 0, 1])).reading
    'srgb_p3d65_scene'
    """
    primaries, curve = _PRIMARIES.get(body[0]), _CURVES.get(body[1])
    words = ", ".join(str(code) for code in body)
    if body[2] != 0:
        words += ": a colour matrix other than RGB, which is forbidden here"
        return CodePoints(reading=None, firm=False, words=words)
    if primaries is None or curve is None:
        return CodePoints(reading=None, firm=True, words=f"{words}: of no space in the vocabulary")
    words += f": {WORDS[primaries]} primaries, {WORDS[curve]}"
    if body[3] == 0:
        words += ", narrow range (codes must be stretched first)"
        return CodePoints(reading=None, firm=True, words=words)
    return CodePoints(reading=reading_of(curve, primaries), firm=True, words=words)
