"""Colours that stand for numbers: how much, and which way."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.float32]
"""sRGB-encoded, shape (height, width, 3), 0 to 1."""

_HOW_MUCH = np.array(
    [
        (0.00, 0.02, 0.02, 0.03),
        (0.20, 0.10, 0.14, 0.36),
        (0.40, 0.16, 0.40, 0.52),
        (0.60, 0.36, 0.64, 0.38),
        (0.80, 0.86, 0.74, 0.30),
        (1.00, 1.00, 0.97, 0.88),
    ]
)
"""From black through blue and green to a light yellow; lightness rises all the way."""

_WHICH_WAY = np.array(
    [
        (-1.0, 0.55, 0.80, 1.00),
        (-0.5, 0.20, 0.42, 0.72),
        (0.0, 0.13, 0.13, 0.13),
        (0.5, 0.72, 0.36, 0.16),
        (1.0, 1.00, 0.76, 0.52),
    ]
)
"""Blue below nothing, orange above it, dark grey between; told apart with any colour vision."""

NOTHING = (0.32, 0.0, 0.32)
"""Where there is no number."""


def how_much(share: NDArray[np.floating]) -> Picture:
    """Return colours of shares, 0 to 1; what is above is as 1.

    Examples
    --------
    >>> how_much(np.array([[0.0, 1.0, 2.0]])).astype(float).round(2).tolist()
    [[[0.02, 0.02, 0.03], [1.0, 0.97, 0.88], [1.0, 0.97, 0.88]]]
    """
    return _along(_HOW_MUCH, share)


def which_way(share: NDArray[np.floating]) -> Picture:
    """Return colours of shares, -1 to 1; NaN has a colour of its own."""
    return _along(_WHICH_WAY, share)


def round_up(value: float) -> float:
    """Return the end of a scale that a value fits in: 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> round_up(3.1), round_up(0.7), round_up(0.0)
    (5.0, 1.0, 1.0)
    """
    if not value > 0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(
        next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= value * 0.999)
    )


def _along(stops: NDArray[np.float64], share: NDArray[np.floating]) -> Picture:
    known = np.isfinite(share)
    at = np.where(known, share, 0.0)
    colours = np.stack([np.interp(at, stops[:, 0], stops[:, 1 + c]) for c in range(3)], axis=-1)
    colours[~known] = NOTHING
    return np.asarray(colours, np.float32)
