"""Primaries and white points of the vocabulary's spaces, and float64 matrices made from them.

Pictures and picked colours are converted by :func:`primecoat.colour.ocio.convert`. What is here
is for numbers that OpenColorIO has no name for: chromaticities, and matrices of our own.

All matrices are float64, row-major, for column vectors: ``out = M @ in``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, Primaries
from primecoat.errors import UseError

Chromaticity = tuple[float, float]
"""CIE 1931 x and y, 2 degree observer."""

Triple = tuple[float, float, float]
Matrix = NDArray[np.float64]
"""Shape (3, 3)."""

D65: Final[Chromaticity] = (0.3127, 0.3290)
"""White of Rec.709, P3-D65, Rec.2020 and Adobe RGB (1998). Source: Color Interop Forum, *Color
Space Encodings for Texture Assets and CG Rendering* v1.1.0, which forbids digits beyond these."""

ACES_WHITE: Final[Chromaticity] = (0.32168, 0.33767)
"""White of AP0 and AP1. Source: Academy of Motion Picture Arts and Sciences, ACES documentation,
*Derivation of the ACES White Point*. It is not a point of the daylight locus."""

BRADFORD: Final[Matrix] = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
"""XYZ to the sharpened cone responses of Bradford. Source: K. M. Lam, *Metamerism and Colour
Constancy*, University of Bradford 1985; ICC.1, annex E."""
BRADFORD.flags.writeable = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RgbPrimaries:
    """The chromaticities that give RGB numbers their meaning.

    Parameters
    ----------
    red, green, blue
        Chromaticities of (1, 0, 0), (0, 1, 0) and (0, 0, 1).
    white
        The adopted white: what an eye adapted to this space calls white.
    equal_rgb
        Chromaticity of (1, 1, 1) where it is not the white; only CIE XYZ has one.
    """

    red: Chromaticity
    green: Chromaticity
    blue: Chromaticity
    white: Chromaticity
    equal_rgb: Chromaticity | None = None


PRIMARIES: Final[dict[Primaries, RgbPrimaries]] = {
    # Recommendation ITU-R BT.709; IEC 61966-2-1
    "rec709": RgbPrimaries(
        red=(0.640, 0.330), green=(0.300, 0.600), blue=(0.150, 0.060), white=D65
    ),
    # SMPTE RP 431-2 and ST 2113
    "p3d65": RgbPrimaries(red=(0.680, 0.320), green=(0.265, 0.690), blue=(0.150, 0.060), white=D65),
    # Recommendation ITU-R BT.2020
    "rec2020": RgbPrimaries(
        red=(0.708, 0.292), green=(0.170, 0.797), blue=(0.131, 0.046), white=D65
    ),
    # Adobe RGB (1998) Color Image Encoding, May 2005
    "adobergb": RgbPrimaries(
        red=(0.640, 0.330), green=(0.210, 0.710), blue=(0.150, 0.060), white=D65
    ),
    # SMPTE ST 2065-1:2021; ACES documentation, ACES2065-1
    "ap0": RgbPrimaries(
        red=(0.7347, 0.2653), green=(0.0, 1.0), blue=(0.0001, -0.0770), white=ACES_WHITE
    ),
    # ACES documentation, ACEScg, table of primaries
    "ap1": RgbPrimaries(
        red=(0.713, 0.293), green=(0.165, 0.830), blue=(0.128, 0.044), white=ACES_WHITE
    ),
    # Color Interop Forum, the same Recommendation, lin_ciexyzd65_scene: the numbers are X, Y, Z
    "ciexyzd65": RgbPrimaries(
        red=(1.0, 0.0), green=(0.0, 1.0), blue=(0.0, 0.0), white=D65, equal_rgb=(1 / 3, 1 / 3)
    ),
}
"""Every set of primaries that the vocabulary names. Source beside each; all but the ACES sets are
repeated in the Color Interop Forum's Recommendation."""


def primaries_of(space: str) -> RgbPrimaries:
    """Return the primaries of a colour space.

    Parameters
    ----------
    space
        Color Interop ID.

    Raises
    ------
    UseError
        If it is no colour space of the vocabulary (``data`` has no primaries).

    Examples
    --------
    >>> primaries_of("srgb_ap1_scene").white
    (0.32168, 0.33767)
    """
    found = SPACES.get(space)
    if found is None:
        raise UseError(f"{space} has no primaries.", f"Use one of: {', '.join(SPACES)}.")
    return PRIMARIES[found.primaries]


def xy_to_xyz(xy: Chromaticity) -> NDArray[np.float64]:
    """Return X, Y, Z of luminance 1 for a chromaticity; shape (3,).

    Raises
    ------
    UseError
        If y is not greater than 0: such a chromaticity has no luminance.

    Examples
    --------
    >>> [round(float(v), 6) for v in xy_to_xyz((0.3127, 0.3290))]
    [0.950456, 1.0, 1.089058]
    """
    x, y = xy
    if not (np.isfinite(x) and np.isfinite(y) and y > 0.0):
        raise UseError(f"The chromaticity {xy} has no luminance.", "Give x, and y above 0.")
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def xyz_to_xy(xyz: NDArray[np.float64]) -> Chromaticity:
    """Return the chromaticity of X, Y, Z (shape (3,), any scale but 0)."""
    total = xyz.sum()
    return float(xyz[0] / total), float(xyz[1] / total)


def rgb_to_xyz_matrix(primaries: RgbPrimaries) -> Matrix:
    """Return the matrix from linear RGB to X, Y, Z; white has Y = 1.

    Source: SMPTE RP 177:1993, section 3.3.

    Examples
    --------
    >>> rgb_to_xyz_matrix(PRIMARIES["rec709"])[1].round(4).tolist()  # luminance of R, G, B
    [0.2126, 0.7152, 0.0722]
    """
    points = (primaries.red, primaries.green, primaries.blue)
    columns = np.array([(x, y, 1.0 - x - y) for x, y in points]).T
    scale = np.linalg.solve(columns, xy_to_xyz(primaries.equal_rgb or primaries.white))
    return columns * scale


def bradford_matrix(from_white: Chromaticity, to_white: Chromaticity) -> Matrix:
    """Return the matrix on X, Y, Z that carries one adopted white to another.

    Source: von Kries adaptation in Bradford cone responses, the linear form of ICC.1 annex E, as
    the Color Interop Forum's Recommendation prescribes for textures.

    Examples
    --------
    >>> moved = bradford_matrix(D65, ACES_WHITE) @ xy_to_xyz(D65)
    >>> [round(v, 5) for v in xyz_to_xy(moved)]
    [0.32168, 0.33767]
    """
    gains = (BRADFORD @ xy_to_xyz(to_white)) / (BRADFORD @ xy_to_xyz(from_white))
    return np.linalg.inv(BRADFORD) @ (gains[:, None] * BRADFORD)


def rgb_to_rgb_matrix(source: RgbPrimaries, target: RgbPrimaries) -> Matrix:
    """Return the matrix from linear RGB to linear RGB, the white adapted by Bradford.

    Examples
    --------
    >>> rgb_to_rgb_matrix(PRIMARIES["rec709"], PRIMARIES["ap1"]).round(6).tolist()[0]
    [0.613097, 0.339523, 0.047379]
    """
    adapted = bradford_matrix(source.white, target.white) @ rgb_to_xyz_matrix(source)
    return np.linalg.inv(rgb_to_xyz_matrix(target)) @ adapted


def xy_to_rgb(
    xy: Chromaticity, primaries: RgbPrimaries, *, adapt_from: Chromaticity | None = None
) -> Triple:
    """Return the linear RGB of luminance 1 that a chromaticity is.

    Parameters
    ----------
    xy
        CIE 1931 chromaticity.
    primaries
        Those of the RGB wanted.
    adapt_from
        The white that an eye looking at ``xy`` is adapted to; carried to the white of
        ``primaries`` by Bradford. By default nothing is adapted: the light measures ``xy``.

    Returns
    -------
    tuple of float
        Red, green, blue; luminance (the middle row of :func:`rgb_to_xyz_matrix`) is 1. A
        chromaticity outside the primaries' triangle gives negative numbers; none is clamped.

    Examples
    --------
    >>> white = xy_to_rgb(D65, PRIMARIES["ap1"], adapt_from=D65)
    >>> [round(v, 12) for v in white]
    [1.0, 1.0, 1.0]
    """
    xyz = xy_to_xyz(xy)
    if adapt_from is not None:
        xyz = bradford_matrix(adapt_from, primaries.white) @ xyz
    red, green, blue = np.linalg.solve(rgb_to_xyz_matrix(primaries), xyz / xyz[1]).tolist()
    return red, green, blue
