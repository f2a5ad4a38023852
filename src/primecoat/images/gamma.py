"""What a bare gamma, with or without primaries, says of colour.

Sources: W3C *PNG Specification (Third Edition)*, 11.3.2.2 (gAMA: 1 / exponent, times 100000;
45455 is also what writers put there for the sRGB curve, Table 29); Adobe RGB (1998) Color Image
Encoding (exponent 563/256); IEC 61966-2-1 (the sRGB curve).
"""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ids import SPACES, Curve, Primaries
from primecoat.images.encodings import WORDS, reading_of

_GAMMAS: dict[Curve, int] = {
    "linear": 100000,
    "g18": 55556,
    "g22": 45455,
    "g24": 41667,
    "g26": 38462,
}
_ADOBE_GAMMA = 45470
"""1 / (563/256) × 100000, as Adobe RGB (1998) defines its exponent."""

_ADOBE_NEAR = 5
"""Greatest difference from that one, which lies close to 1/2.2."""

_NEAR = 0.005
"""Greatest relative difference of a gamma: it moves no 8-bit code by more than half a code, since
x^(1 + d) differs from x by d/e at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GammaMeaning:
    """What a gamma comes to; the fields are those of a colour statement."""

    reading: str | None
    firm: bool
    words: str
    among: tuple[str, ...] = ()


def judge_gamma(gamma: int, primaries: Primaries | None, *, has_primaries: bool) -> GammaMeaning:
    """Return what a gamma means.

    Parameters
    ----------
    gamma
        1 / exponent, times 100000, as in a PNG gAMA chunk; 0 if there is none.
    primaries
        Known primaries that stand beside it.
    has_primaries
        Whether any primaries stand beside it.

    Examples
    --------
    >>> judge_gamma(100000, "ap1", has_primaries=True).reading
    'lin_ap1_scene'
    >>> judge_gamma(45455, None, has_primaries=False).among
    ('srgb_rec709_scene', 'g22_rec709_scene')
    """
    if not gamma:
        return GammaMeaning(reading=None, firm=False, words="primaries without a curve")
    curve = next(
        (name for name, known in _GAMMAS.items() if abs(gamma - known) <= _NEAR * known), None
    )
    if abs(gamma - _ADOBE_GAMMA) <= _ADOBE_NEAR or (curve == "g22" and primaries == "adobergb"):
        reading = reading_of("g22", primaries)
        return GammaMeaning(
            reading=reading, firm=primaries == "adobergb", words="gamma 2.2 (563/256)"
        )
    if curve is None:
        return GammaMeaning(reading=None, firm=True, words="a gamma of no known space")
    if has_primaries and primaries is None:
        words = f"{WORDS[curve]}, primaries of no known space"
        return GammaMeaning(reading=None, firm=True, words=words)
    if curve == "g22":
        return _two_point_two(primaries or "rec709")
    if not has_primaries:
        words = f"{WORDS[curve]}; primaries not told, Rec.709 is customary"
        return GammaMeaning(reading=reading_of(curve, "rec709"), firm=False, words=words)
    return GammaMeaning(reading=reading_of(curve, primaries), firm=True, words=WORDS[curve])


def _two_point_two(primaries: Primaries) -> GammaMeaning:
    """Return the meaning of 1/2.2: that gamma, or the sRGB curve as old readers approximate it."""
    words = "gamma 2.2, or the sRGB curve for old readers (they differ by up to 8.5 codes): ask"
    named = tuple(
        f"{curve}_{primaries}_scene"
        for curve in ("srgb", "g22")
        if f"{curve}_{primaries}_scene" in SPACES
    )
    return GammaMeaning(
        reading=named[0] if len(named) == 1 else None,
        firm=False,
        words=words,
        among=named if len(named) > 1 else (),
    )
