"""How far light reaches: stops, values above 1, and the flat top of a sun that was cut off.

A sun or a lamp that exceeded what the camera, the merge or the format could hold leaves many
pixels at exactly the same greatest value; light that was measured has one brightest pixel. The
trade calls the flat top a plateau; nine pixels (3 x 3) are the least that no resampling makes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.images.exact_counts import ExactCounts

PLATEAU = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class LightRange:
    """Range of the colour channels; integers scaled to 0 to 1.

    Parameters
    ----------
    stops
        Base-2 logarithm of the brightest value against the first percentile of the positive ones.
    above_one
        Share of pixels of which a channel exceeds 1 (float types, sampled).
    highest
        Greatest finite value.
    plateau
        Number of pixels at the maximum of the channel with most of them, where it is at least 9
        and not the greater part of the picture; else 0. Exact for float types, over the sample
        for integer types.
    plateau_rows, plateau_columns
        Extent of these pixels (float types), else 0.
    """

    stops: float
    above_one: float
    highest: float
    plateau: int
    plateau_rows: int
    plateau_columns: int


def measure_range(values: NDArray[np.float32], exact: Sequence[ExactCounts]) -> LightRange | None:
    """Measure colour channels.

    Parameters
    ----------
    values
        Shape (channels, pixels): finite, integers scaled to 0 to 1.
    exact
        Exact facts of the same channels, or none for integer types.
    """
    if not values.size:
        return None
    highest = max((e.maximum for e in exact if e.finite), default=float(values.max()))
    mean = values.mean(axis=0)
    positive = mean[mean > 0]
    low = float(np.quantile(positive, 0.01)) if positive.size else 0.0
    plateau, rows, columns = 0, 0, 0
    if exact:
        most = max(exact, key=lambda e: e.at_maximum)
        if PLATEAU <= most.at_maximum <= most.finite / 2:
            plateau = most.at_maximum
            rows, columns = most.bottom - most.top + 1, most.right - most.left + 1
    else:
        counts = [int(np.count_nonzero(row == row.max())) for row in values]
        plateau = max(counts)
        plateau = plateau if PLATEAU <= plateau <= values.shape[1] / 2 else 0
    return LightRange(
        stops=math.log2(highest / low) if highest > low > 0 else 0.0,
        above_one=float(np.mean((values > 1.0).any(axis=0))),
        highest=highest,
        plateau=plateau,
        plateau_rows=rows,
        plateau_columns=columns,
    )
