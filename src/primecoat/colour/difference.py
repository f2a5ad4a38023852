"""How different two colours look: CIE L*a*b* and the difference CIEDE2000."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from primecoat.colour.primaries import D65, xy_to_xyz

Floats = NDArray[np.float64]

_TOE: Final = 216 / 24389
_SLOPE: Final = 24389 / 27
"""CIE 15, L*a*b*: the cube root from (6/29)³, a straight line below."""


def lab(xyz: ArrayLike, white: ArrayLike | None = None) -> Floats:
    """Return CIE 1976 L*a*b*.

    Source: ISO/CIE 11664-4. Negative X, Y, Z stay on the straight line below black.

    Parameters
    ----------
    xyz
        X, Y, Z, shape (..., 3); any range.
    white
        X, Y, Z of white, shape (3,); by default that of D65 (0.3127, 0.3290) with Y = 1.

    Examples
    --------
    >>> lab(xy_to_xyz(D65)).round(6).tolist()
    [100.0, 0.0, 0.0]
    >>> float(lab([0.0, 0.184187, 0.0])[0].round(2))
    50.0
    """
    of_white = xy_to_xyz(D65) if white is None else np.asarray(white, dtype=np.float64)
    share = np.asarray(xyz, dtype=np.float64) / of_white
    bent = np.where(share > _TOE, np.cbrt(share), (_SLOPE * share + 16.0) / 116.0)
    x, y, z = bent[..., 0], bent[..., 1], bent[..., 2]
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def ciede2000(one: ArrayLike, other: ArrayLike) -> Floats:
    """Return the colour difference CIEDE2000 with the weights kL = kC = kH = 1.

    Source: ISO/CIE 11664-6; written after G. Sharma, W. Wu and E. N. Dalal, *The CIEDE2000
    Color-Difference Formula*, Color Res. Appl. 30(1), 21-30, 2005, equations 2 to 22.

    Parameters
    ----------
    one, other
        L*a*b*, shapes (..., 3) that broadcast.

    Returns
    -------
    numpy.ndarray
        Shape (...); from 0. About 1 is what an eye just tells apart side by side.

    Examples
    --------
    >>> float(ciede2000((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485)).round(4))
    2.0425
    """
    l1, a1, b1 = np.moveaxis(np.asarray(one, dtype=np.float64), -1, 0)
    l2, a2, b2 = np.moveaxis(np.asarray(other, dtype=np.float64), -1, 0)
    stretch = 1.5 - 0.5 * _seventh((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0)
    a1, a2 = stretch * a1, stretch * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.arctan2(b1, a1) % (2 * np.pi), np.arctan2(b2, a2) % (2 * np.pi)
    grey = c1 * c2 == 0.0
    turn = np.where(grey, 0.0, (h2 - h1 + np.pi) % (2 * np.pi) - np.pi)
    # Exactly opposite hues keep their sign: equation 10 wraps beyond 180 degrees, not at them.
    # Angles are rounded; the cross product of opposite colours is exactly 0.
    opposite = (a1 * b2 == a2 * b1) & (a1 * a2 + b1 * b2 < 0.0)
    turn = np.where(opposite, np.copysign(np.pi, h2 - h1), turn)
    hue_step = 2.0 * np.sqrt(c1 * c2) * np.sin(turn / 2.0)

    lightness, chroma = (l1 + l2) / 2.0, (c1 + c2) / 2.0
    far = (np.abs(h1 - h2) > np.pi) & ~opposite
    hue = np.where(grey, h1 + h2, (h1 + h2) / 2.0 + np.where(far, np.pi, 0.0))
    weight = (
        1.0
        - 0.17 * np.cos(hue - np.radians(30.0))
        + 0.24 * np.cos(2.0 * hue)
        + 0.32 * np.cos(3.0 * hue + np.radians(6.0))
        - 0.20 * np.cos(4.0 * hue - np.radians(63.0))
    )
    off_middle = (lightness - 50.0) ** 2
    lightness_scale = 1.0 + 0.015 * off_middle / np.sqrt(20.0 + off_middle)
    chroma_scale = 1.0 + 0.045 * chroma
    hue_scale = 1.0 + 0.015 * chroma * weight
    degrees = np.degrees(hue) % 360.0
    rotation = -np.sin(np.radians(60.0 * np.exp(-(((degrees - 275.0) / 25.0) ** 2))))
    rotation = rotation * 2.0 * _seventh(chroma)
    dl, dc, dh = (l2 - l1) / lightness_scale, (c2 - c1) / chroma_scale, hue_step / hue_scale
    return np.asarray(np.sqrt(np.maximum(dl**2 + dc**2 + dh**2 + rotation * dc * dh, 0.0)))


def _seventh(chroma: Floats) -> Floats:
    power = chroma**7
    return np.asarray(np.sqrt(power / (power + 25.0**7)))
