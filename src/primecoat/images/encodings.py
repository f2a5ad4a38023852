"""Which reading a transfer function and a set of primaries make together."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import SPACES, Curve, Primaries
from primecoat.colour.primaries import PRIMARIES

Chromaticities = tuple[float, float, float, float, float, float, float, float]
"""CIE xy of red, green, blue and white: (rx, ry, gx, gy, bx, by, wx, wy)."""

CHROMATICITIES: dict[Primaries, Chromaticities] = {
    name: (*known.red, *known.green, *known.blue, *known.white)
    for name, known in PRIMARIES.items()
    if known.equal_rgb is None
}
"""Those of the vocabulary's RGB sets; CIE XYZ is none."""

WORDS: dict[str, str] = {
    "rec709": "Rec.709",
    "p3d65": "P3-D65",
    "rec2020": "Rec.2020",
    "adobergb": "Adobe RGB (1998)",
    "ap0": "AP0",
    "ap1": "AP1",
    "ciexyzd65": "CIE XYZ",
    "linear": "linear",
    "srgb": "sRGB curve",
    "g18": "gamma 1.8",
    "g22": "gamma 2.2",
    "g24": "gamma 2.4",
    "g26": "gamma 2.6",
    "pq": "PQ",
    "hlg": "HLG",
}
"""How curves and primaries are called in sentences."""


def match_primaries(found: Sequence[float], tolerance: float = 0.001) -> Primaries | None:
    """Return the known primaries that eight chromaticities stand for, or None.

    Parameters
    ----------
    found
        CIE xy of red, green, blue and white.
    tolerance
        Greatest difference in x or y. Source of the default: ASWF Color Interop Forum,
        *Identifying the Color Space of OpenEXR Files* v1.0.0, Annex A.

    Examples
    --------
    >>> match_primaries((0.7130, 0.2930, 0.1650, 0.8300, 0.1280, 0.0440, 0.3217, 0.3377))
    'ap1'
    """
    for name, known in CHROMATICITIES.items():
        if all(abs(a - b) <= tolerance + 1e-7 for a, b in zip(found, known, strict=True)):
            return name
    return None


def reading_of(curve: Curve | None, primaries: Primaries | None) -> str | None:
    """Return the ID of a curve with primaries: the scene one, else the display one, else None.

    Examples
    --------
    >>> reading_of("srgb", "p3d65"), reading_of("g26", "p3d65"), reading_of("g18", "ap1")
    ('srgb_p3d65_scene', 'g26_p3d65_display', None)
    """
    fitting = [s for s in SPACES.values() if s.curve == curve and s.primaries == primaries]
    fitting.sort(key=lambda space: space.referred != "scene")
    return fitting[0].id if fitting else None
