"""Whether a set of primaries can make a colour, and how far off the nearest colour is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ids import Primaries
from primecoat.colour.nearest import nearest_rgb
from primecoat.colour.primaries import (
    PRIMARIES,
    Triple,
    bradford_matrix,
    rgb_to_rgb_matrix,
    rgb_to_xyz_matrix,
)

GAMUTS: Final[tuple[Primaries, ...]] = ("rec709", "p3d65", "adobergb", "rec2020", "ap1", "ap0")
"""Sets of primaries that have a gamut; CIE XYZ holds every colour."""

_NEGLIGIBLE: Final = 1e-6
"""A negative channel this small beside the greatest comes from float32, not from the colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Membership:
    """What one set of primaries makes of a colour.

    Parameters
    ----------
    primaries
        Name of the set.
    inside
        Whether no channel is negative. How bright the colour is does not matter.
    difference
        CIEDE2000 to the nearest colour of the set, at any brightness; 0 inside.
    rgb
        That nearest colour as linear RGB of the set.
    """

    primaries: Primaries
    inside: bool
    difference: float
    rgb: Triple


def membership(rec709: NDArray[np.float64], primaries: Primaries) -> Membership:
    """Return whether a set of primaries can make a colour.

    Parameters
    ----------
    rec709
        Linear Rec.709, shape (3,), any range.
    primaries
        One of :data:`GAMUTS`.

    Examples
    --------
    >>> bluish_green = np.array([-0.3, 0.5, 0.4])
    >>> membership(bluish_green, "rec709").inside, membership(bluish_green, "ap1").inside
    (False, True)
    """
    source, target = PRIMARIES["rec709"], PRIMARIES[primaries]
    rgb = rgb_to_rgb_matrix(source, target) @ np.asarray(rec709, dtype=np.float64)
    inside = bool(rgb.min() >= -_NEGLIGIBLE * max(float(np.abs(rgb).max()), _NEGLIGIBLE))
    clipped = np.maximum(rgb, 0.0)
    if inside:
        return Membership(primaries=primaries, inside=True, difference=0.0, rgb=_triple(clipped))
    to_xyz = bradford_matrix(target.white, source.white) @ rgb_to_xyz_matrix(target)
    wanted = lab(to_xyz @ rgb)

    def differences(candidates: NDArray[np.float64]) -> NDArray[np.float64]:
        return ciede2000(wanted, lab(candidates @ to_xyz.T))

    grey = np.full(3, max(float((rgb_to_xyz_matrix(target) @ rgb)[1]), 0.0))
    found = nearest_rgb(differences, (clipped, (clipped + grey) / 2.0))
    return Membership(
        primaries=primaries,
        inside=False,
        difference=float(differences(found[None])[0]),
        rgb=_triple(found),
    )


def _triple(rgb: NDArray[np.float64]) -> Triple:
    red, green, blue = rgb.tolist()
    return red, green, blue
