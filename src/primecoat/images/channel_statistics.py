"""Numbers of one channel, and how channels correlate."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.exact_counts import ExactCounts
from primecoat.images.image_statistics import ChannelStatistics
from primecoat.images.independence import bimodality

Floats = NDArray[np.float32]

_NEAR = 0.05
_STEPS = 64


def of_codes(name: str, row: NDArray[Any]) -> ChannelStatistics:
    """Take all numbers of an integer channel from the histogram of its sampled codes."""
    most = int(np.iinfo(row.dtype).max)
    histogram = np.bincount(row, minlength=most + 1)
    used = np.flatnonzero(histogram)
    values, weights = used / most, histogram[used] / row.size
    mean = float(values @ weights)
    apart = values - mean
    variance = float(apart**2 @ weights)
    places = np.rint(values * (_STEPS - 1)).astype(np.intp)
    steps = np.bincount(places, weights, _STEPS).astype(np.float64)
    return ChannelStatistics(
        name=name,
        minimum=float(values[0]),
        maximum=float(values[-1]),
        mean=mean,
        deviation=math.sqrt(variance),
        distinct=len(used),
        near_black=float(weights[values <= _NEAR].sum()),
        near_white=float(weights[values >= 1.0 - _NEAR].sum()),
        at_maximum=int(histogram[used[-1]]),
        bimodality=bimodality(steps),
        skewness=float(apart**3 @ weights) / variance**1.5 if variance > 1e-9 else None,
        mode_share=float(steps.max()),
    )


def of_floats(name: str, row: Floats, exact: ExactCounts) -> ChannelStatistics:
    """Take the counts of a float channel from all its pixels, the shape from the sample."""
    sound = row[np.isfinite(row)]
    distinct = int(np.unique(sound).size)
    mean = exact.total / exact.finite if exact.finite else 0.0
    variance = exact.total_squares / exact.finite - mean**2 if exact.finite else 0.0
    sampled = max(1, sound.size)
    places = np.rint(np.clip(sound, 0.0, 1.0) * np.float32(_STEPS - 1)).astype(np.intp)
    steps = np.bincount(places, minlength=_STEPS) / sampled
    return ChannelStatistics(
        name=name,
        minimum=exact.minimum if exact.finite else 0.0,
        maximum=exact.maximum if exact.finite else 0.0,
        mean=mean,
        deviation=math.sqrt(max(0.0, variance)),
        distinct=distinct,
        near_black=int(np.count_nonzero(sound <= _NEAR)) / sampled,
        near_white=int(np.count_nonzero(sound >= 1.0 - _NEAR)) / sampled,
        at_maximum=exact.at_maximum if exact.finite else 0,
        nan=exact.nan,
        infinite=exact.infinite,
        negative=exact.negative,
        above_one=exact.above_one,
        above_half=exact.above_half,
        bimodality=bimodality(steps) if sound.size else None,
        skewness=_skewness(sound),
        mode_share=float(steps.max()),
    )


def correlation(values: Floats) -> tuple[tuple[float | None, ...], ...]:
    """Return the correlation of channels with one another; None where one is constant.

    Parameters
    ----------
    values
        Shape (channels, pixels): finite, integers scaled to 0 to 1.
    """
    if not values.shape[1]:
        return tuple((None,) * len(values) for _ in values)
    apart = values - values.mean(axis=1, keepdims=True, dtype=np.float64)
    shared = apart @ apart.T
    own = np.sqrt(np.diag(shared))
    floor = 1e-6 * math.sqrt(values.shape[1])

    def pair(i: int, j: int) -> float | None:
        if own[i] <= floor or own[j] <= floor:
            return None
        return float(np.clip(shared[i, j] / (own[i] * own[j]), -1.0, 1.0))

    count = range(len(values))
    return tuple(tuple(pair(i, j) for j in count) for i in count)


def _skewness(sound: Floats) -> float | None:
    if not sound.size:
        return None
    wide = np.clip(sound, -1e9, 1e9).astype(np.float64)
    apart = wide - wide.mean()
    variance = float(np.mean(apart**2))
    return float(np.mean(apart**3)) / variance**1.5 if variance > 1e-9 else None
