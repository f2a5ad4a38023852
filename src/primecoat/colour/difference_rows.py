"""CIEDE2000 of many pixels at once, in float32, with its error stated.

Against :func:`primecoat.colour.difference.ciede2000` (float64) the difference is at most 0.0005 for
L*a*b* within the solid of real display colours, and below 1e-4 in the mean; a pair of equal colours
gives exactly 0. Where two hues lie opposite each other within what float32 can tell, the formula
jumps; such pairs are computed in float64.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import ciede2000
from primecoat.colour.primaries import D65, xy_to_xyz

Rows = NDArray[np.float32]
Lab = tuple[Rows, Rows, Rows]
"""L*, a*, b*, each of shape (pixels,)."""

GREATEST_ERROR: Final = 0.0005
"""Greatest departure from the float64 formula that is promised; held by a test."""

_TOE: Final = np.float32(216 / 24389)
_SLOPE: Final = np.float32(24389 / 27)
_PI: Final = np.float32(np.pi)
_TURN: Final = np.float32(2 * np.pi)
_OPPOSITE: Final = np.float32(2e-5)
"""Radians from opposite hues within which float32 cannot tell on which side a pair lies."""


def lab_rows(xyz: Rows) -> Lab:
    """Return CIE 1976 L*a*b* under D65 with Y = 1, as three arrays.

    Parameters
    ----------
    xyz
        Shape (pixels, 3); any range.

    Examples
    --------
    >>> grey = np.array([[0.175062, 0.184187, 0.200591]], np.float32)
    >>> [abs(round(float(v[0]), 2)) for v in lab_rows(grey)]
    [50.0, 0.0, 0.0]
    """
    white = xy_to_xyz(D65).astype(np.float32)
    x, y, z = (_bent(xyz[:, channel] / white[channel]) for channel in range(3))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def ciede2000_rows(one: Lab, other: Lab) -> Rows:
    """Return CIEDE2000 of pixels, kL = kC = kH = 1; shape (pixels,).

    Source and steps: :func:`primecoat.colour.difference.ciede2000`.

    Examples
    --------
    >>> blue = tuple(np.array([v], np.float32) for v in (50.0, 2.6772, -79.7751))
    >>> other = tuple(np.array([v], np.float32) for v in (50.0, 0.0, -82.7485))
    >>> round(float(ciede2000_rows(blue, other)[0]), 2)
    2.04
    """
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_chroma = (np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2)) * np.float32(0.5)
    stretch = np.float32(1.5) - np.float32(0.5) * _seventh(mean_chroma)
    a1, a2 = stretch * a1, stretch * a2
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    h1, h2 = np.arctan2(b1, a1), np.arctan2(b2, a2)
    h1 += _TURN * (h1 < 0)
    h2 += _TURN * (h2 < 0)
    product = c1 * c2
    grey = product == 0
    step = h2 - h1
    far = np.abs(step) > _PI
    step -= np.where(far, np.copysign(_TURN, step), np.float32(0))
    step[grey] = 0
    hue_step = 2 * np.sqrt(product) * np.sin(step * np.float32(0.5))
    hue = (h1 + h2) * np.float32(0.5) + np.where(far, _PI, np.float32(0))
    if grey.any():
        hue = np.where(grey, h1 + h2, hue)

    lightness, chroma = (l1 + l2) * np.float32(0.5), (c1 + c2) * np.float32(0.5)
    cos, sin = np.cos(hue), np.sin(hue)
    cos2, sin2 = 2 * cos * cos - 1, 2 * sin * cos
    cos3, sin3 = cos2 * cos - sin2 * sin, sin2 * cos + cos2 * sin
    cos4, sin4 = 2 * cos2 * cos2 - 1, 2 * sin2 * cos2
    weight = (
        1
        - _shifted(0.17, 30.0, cos, sin)
        + np.float32(0.24) * cos2
        + _shifted(0.32, -6.0, cos3, sin3)
        - _shifted(0.20, 63.0, cos4, sin4)
    )
    off_middle = (lightness - 50) ** 2
    lightness_scale = 1 + np.float32(0.015) * off_middle / np.sqrt(20 + off_middle)
    chroma_scale = 1 + np.float32(0.045) * chroma
    hue_scale = 1 + np.float32(0.015) * chroma * weight
    degrees = np.degrees(hue)
    degrees -= np.float32(360) * (degrees >= 360)
    bump = np.exp(-(((degrees - 275) / 25) ** 2))
    rotation = -2 * _seventh(chroma) * np.sin(np.float32(np.radians(60.0)) * bump)
    dl, dc, dh = (l2 - l1) / lightness_scale, (c2 - c1) / chroma_scale, hue_step / hue_scale
    found = np.sqrt(np.maximum(dl * dl + dc * dc + dh * dh + rotation * dc * dh, 0))
    unsure = np.flatnonzero((np.abs(np.abs(h2 - h1) - _PI) < _OPPOSITE) & ~grey)
    if unsure.size:
        first, second = (np.stack([v[unsure] for v in lab], axis=-1) for lab in (one, other))
        found[unsure] = ciede2000(first, second)
    return np.asarray(found, np.float32)


def _bent(share: Rows) -> Rows:
    return np.where(share > _TOE, np.cbrt(share), (_SLOPE * share + 16) / np.float32(116))


def _seventh(chroma: Rows) -> Rows:
    # relative to 25, so that the seventh power stays within float32 for any chroma of a picture
    share = chroma / np.float32(25)
    squared = share * share
    power = squared * squared * squared * share
    return np.asarray(np.sqrt(power / (power + 1)), np.float32)


def _shifted(amount: float, degrees: float, cos: Rows, sin: Rows) -> Rows:
    """Return ``amount * cos(angle - degrees)`` of the cosine and sine of an angle."""
    turn = np.radians(degrees)
    return np.float32(amount * np.cos(turn)) * cos + np.float32(amount * np.sin(turn)) * sin
