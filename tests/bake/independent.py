"""Conversions between the vocabulary's spaces in float64, by colour-science and not by OpenColorIO.

Primaries and white points are those colour-science publishes; matrices are derived from them and
adapted by Bradford with its own functions. Below 0 the sRGB curve goes on as a straight line, and
pure powers pass values through (ASWF Color Interop Forum, *Color Space Encodings for Texture Assets
and CG Rendering* v1.1.0, *Handling Values Outside [0,1]*).
"""

from __future__ import annotations

from functools import lru_cache

import colour
import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES

Floats = NDArray[np.float64]

_SETS = {
    "rec709": "ITU-R BT.709",
    "p3d65": "P3-D65",
    "rec2020": "ITU-R BT.2020",
    "adobergb": "Adobe RGB (1998)",
    "ap0": "ACES2065-1",
    "ap1": "ACEScg",
}
_POWERS = {"g18": 1.8, "g22": 2.2, "g24": 2.4}
_ADOBE = 563 / 256
"""Source: *Adobe RGB (1998) Color Image Encoding*, 4.3.1.2."""

_SLOPE = 1.4 / 0.055 * (0.055 * 2.4 / (1.4 * 1.055)) ** 2.4
"""Of the straight part of the sRGB curve. Source: the same, Annex B."""


def converted(values: Floats, reading: str, to_space: str) -> Floats:
    """Return values of one space in another, in float64."""
    light = _decoded(np.asarray(values, np.float64), reading)
    matrix = _from_xyz(SPACES[to_space].primaries) @ _to_xyz(SPACES[reading].primaries)
    return _encoded(light @ matrix.T, to_space)


@lru_cache
def _to_xyz(primaries: str) -> Floats:
    """Return the matrix to X, Y, Z under the ACES white."""
    aces = colour.RGB_COLOURSPACES["ACES2065-1"].whitepoint
    if primaries == "ciexyzd65":
        known: Floats = np.eye(3)
        white = colour.RGB_COLOURSPACES["ITU-R BT.709"].whitepoint
    else:
        space = colour.RGB_COLOURSPACES[_SETS[primaries]]
        white = space.whitepoint
        known = np.asarray(
            colour.models.normalised_primary_matrix(space.primaries, white), np.float64
        )
    adapted = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(white), colour.xy_to_XYZ(aces), transform="Bradford"
    )
    return np.asarray(adapted @ known, np.float64)


def _from_xyz(primaries: str) -> Floats:
    return np.asarray(np.linalg.inv(_to_xyz(primaries)), np.float64)


def _decoded(codes: Floats, space: str) -> Floats:
    known = SPACES[space]
    size = np.abs(codes)
    if known.curve == "srgb":
        size = colour.models.eotf_sRGB(size)
    elif known.curve != "linear":
        size = size ** _power(known.curve, known.primaries)
    below = codes * _SLOPE if known.curve == "srgb" else codes
    return np.where(codes < 0, below, size)


def _encoded(light: Floats, space: str) -> Floats:
    known = SPACES[space]
    size = np.abs(light)
    if known.curve == "srgb":
        size = colour.models.eotf_inverse_sRGB(size)
    elif known.curve != "linear":
        size = size ** (1 / _power(known.curve, known.primaries))
    below = light / _SLOPE if known.curve == "srgb" else light
    return np.where(light < 0, below, size)


def _power(curve: str, primaries: str) -> float:
    return _ADOBE if (curve, primaries) == ("g22", "adobergb") else _POWERS[curve]
