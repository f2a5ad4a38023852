"""The light that code values stand for, computed from the vocabulary alone.

This is the truth that a config's own transforms are held against, so nothing here asks
OpenColorIO. Pictures and picked colours are converted by :func:`primecoat.colour.ocio.convert`.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, Curve
from primecoat.colour.primaries import PRIMARIES, rgb_to_rgb_matrix, rgb_to_xyz_matrix

Floats = NDArray[np.float64]

POWERS: Final[dict[Curve, float]] = {
    "linear": 1.0,
    "g18": 1.8,
    "g22": 2.2,
    "g24": 2.4,
    "g26": 2.6,
}
"""Pure power functions."""

ADOBE_POWER: Final = 563 / 256
"""What ``g22`` means with the primaries of Adobe RGB. Source: *Adobe RGB (1998) Color Image
Encoding*, section 4.3.1.2, as the Color Interop Forum's ``g22_adobergb_scene`` takes it over."""

HUNDRED_NITS: Final = 100.0
"""cd/m² that count as 1 on a display, as in OpenColorIO's display reference space."""

HLG_PEAK: Final = 1000.0
"""Nominal peak of the HLG display in cd/m²; its system gamma is then 1.2 (BT.2100, note 5f)."""


def light_in_reference(codes: NDArray[np.floating], space: str) -> Floats:
    """Return the light of code values, in the space where configs are compared.

    Parameters
    ----------
    codes
        Shape (n, 3). 0 to 1; linear spaces take any range. Below 0 a curve is mirrored.
    space
        Color Interop ID.

    Returns
    -------
    numpy.ndarray
        Shape (n, 3). Scene spaces: linear AP0, white adapted by Bradford. Display spaces: CIE
        X, Y, Z of the light, white D65, Y 1 = 100 cd/m².

    Examples
    --------
    >>> light_in_reference(np.array([[0.5, 0.5, 0.5]]), "srgb_rec709_scene").round(4).tolist()
    [[0.214, 0.214, 0.214]]
    >>> light_in_reference(np.array([[1.0, 1.0, 1.0]]), "hlg_rec2020_display").round(2).tolist()
    [[9.5, 10.0, 10.89]]
    """
    known = SPACES[space]
    primaries = PRIMARIES[known.primaries]
    if known.referred == "display":
        matrix = rgb_to_xyz_matrix(primaries)
    else:
        matrix = rgb_to_rgb_matrix(primaries, PRIMARIES["ap0"])
    power = ADOBE_POWER if known.primaries == "adobergb" and known.curve == "g22" else None
    values = np.asarray(codes, dtype=np.float64)
    light = np.sign(values) * _decoded(np.abs(values), known.curve, power)
    if known.curve == "hlg":
        light = _hlg_on_display(light, matrix[1])
    with np.errstate(invalid="ignore"):  # a log curve far above 1 is infinite
        return light @ matrix.T


def _decoded(codes: Floats, curve: Curve, power: float | None) -> Floats:
    if curve == "srgb":  # IEC 61966-2-1:1999
        return np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    if curve == "pq":
        return _pq(codes)
    if curve == "hlg":
        return _hlg(codes)
    return codes ** (power or POWERS[curve])


def _pq(codes: Floats) -> Floats:
    """Return light, 1 = 100 cd/m². Source: ITU-R BT.2100, table 4 (EOTF), after SMPTE ST 2084."""
    m1, m2 = 2610 / 16384, 2523 / 4096 * 128
    c1, c2, c3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
    root = np.minimum(codes, 1.0) ** (1 / m2)
    light: Floats = 10000 * (np.maximum(root - c1, 0.0) / (c2 - c3 * root)) ** (1 / m1)
    return light / HUNDRED_NITS


def _hlg(codes: Floats) -> Floats:
    """Return scene light, 0 to 1. Source: ITU-R BT.2100, table 5 (inverse of the OETF)."""
    a = 0.17883277
    b, c = 1 - 4 * a, 0.5 - a * np.log(4 * a)
    return np.where(codes <= 0.5, codes**2 / 3, (np.exp((codes - c) / a) + b) / 12)


def _hlg_on_display(light: Floats, luminance: Floats) -> Floats:
    """Return display light of scene light. Source: ITU-R BT.2100, table 5 (OOTF, black at 0)."""
    luma = np.maximum(light @ luminance, 0.0)
    return HLG_PEAK / HUNDRED_NITS * luma[:, None] ** 0.2 * light
