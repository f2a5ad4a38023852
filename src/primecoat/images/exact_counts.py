"""Exact facts of a float channel, gathered band by band: counts, extremes and the flat top."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

HALF_LARGEST = 65504.0
"""Largest finite half float. Source: IEEE 754-2019, binary16: (2 - 2**-10) * 2**15."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactCounts:
    """Facts of one float channel over all its pixels; extremes and sums are of finite ones.

    ``top``, ``left``, ``bottom``, ``right`` are the first and last row and column that hold the
    maximum.
    """

    pixels: int
    finite: int
    nan: int
    infinite: int
    negative: int
    above_one: int
    above_half: int
    minimum: float
    maximum: float
    at_maximum: int
    top: int
    left: int
    bottom: int
    right: int
    total: float
    total_squares: float


def count_exactly(plane: NDArray[np.float32], first: int) -> ExactCounts:
    """Count over one band of one channel.

    Parameters
    ----------
    plane
        Shape (rows, width), contiguous.
    first
        Row of the picture at which the band begins.
    """
    sound, nan, infinite = plane.reshape(-1), 0, 0
    low, high = float(sound.min()), float(sound.max())  # NaN comes through both
    if not (math.isfinite(low) and math.isfinite(high)):
        nan = int(np.count_nonzero(np.isnan(sound)))
        pixels = sound.size
        sound = sound[np.isfinite(sound)]
        infinite = pixels - nan - sound.size
        low = float(sound.min()) if sound.size else math.inf
        high = float(sound.max()) if sound.size else -math.inf
    wide = sound.astype(np.float64)
    peak = plane == np.float32(high) if sound.size else np.zeros(plane.shape, dtype=np.bool_)
    rows, columns = np.flatnonzero(peak.any(axis=1)), np.flatnonzero(peak.any(axis=0))
    return ExactCounts(
        pixels=plane.size,
        finite=sound.size,
        nan=nan,
        infinite=infinite,
        negative=int(np.count_nonzero(sound < 0.0)) if low < 0.0 else 0,
        above_one=int(np.count_nonzero(sound > 1.0)) if high > 1.0 else 0,
        above_half=int(np.count_nonzero(sound > HALF_LARGEST)) if high > HALF_LARGEST else 0,
        minimum=low,
        maximum=high,
        at_maximum=int(np.count_nonzero(peak)),
        top=first + int(rows[0]) if rows.size else 0,
        left=int(columns[0]) if rows.size else 0,
        bottom=first + int(rows[-1]) if rows.size else 0,
        right=int(columns[-1]) if rows.size else 0,
        total=float(wide.sum()),
        total_squares=float(np.einsum("i,i->", wide, wide)),
    )


def join_counts(a: ExactCounts, b: ExactCounts) -> ExactCounts:
    """Return the facts of two bands, the upper one first."""
    maximum = max(a.maximum, b.maximum)
    tops = [part for part in (a, b) if part.maximum == maximum and part.at_maximum] or [a]
    return ExactCounts(
        pixels=a.pixels + b.pixels,
        finite=a.finite + b.finite,
        nan=a.nan + b.nan,
        infinite=a.infinite + b.infinite,
        negative=a.negative + b.negative,
        above_one=a.above_one + b.above_one,
        above_half=a.above_half + b.above_half,
        minimum=min(a.minimum, b.minimum),
        maximum=maximum,
        at_maximum=sum(part.at_maximum for part in tops),
        top=min(part.top for part in tops),
        left=min(part.left for part in tops),
        bottom=max(part.bottom for part in tops),
        right=max(part.right for part in tops),
        total=a.total + b.total,
        total_squares=a.total_squares + b.total_squares,
    )
