"""Mean, percentiles and greatest of any number of values, in one pass and bounded memory."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_DROPPED_BITS = 13
_BINS = 1 << (31 - _DROPPED_BITS)
"""A bin is all that float32 values share in their exponent and 10 bits of their fraction."""

RELATIVE_ERROR = 2.0**-10
"""Width of a bin beside its value: a percentile is off by no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How values are spread; all 0 if there are none."""

    mean: float
    p50: float
    p95: float
    p99: float
    max: float


@dataclass(frozen=True, slots=True)
class Counts:
    """Counts of some values: the first bin, counts from there on, and sums."""

    low: int
    counts: NDArray[np.intp]
    count: int
    total: float
    squares: float
    greatest: float


def counted(values: NDArray[np.float32]) -> Counts:
    """Return the counts of values, shape (n,): finite and not negative."""
    if not values.size:
        return Counts(0, np.zeros(0, np.intp), 0, 0.0, 0.0, 0.0)
    plain = np.ascontiguousarray(values, np.float32) + np.float32(0)  # no -0
    keys = (plain.view(np.uint32) >> _DROPPED_BITS).view(np.int32)
    low = int(keys.min())
    exact = plain.astype(np.float64)
    return Counts(
        low,
        np.bincount(keys - low),
        plain.size,
        float(exact.sum()),
        float(np.square(exact).sum()),
        float(plain.max()),
    )


class Histogram:
    """Counts of values from 0 up.

    Examples
    --------
    >>> counts = Histogram()
    >>> counts.add(np.arange(101, dtype=np.float32))
    >>> round(counts.percentile(95)), counts.spread().max, counts.share_above(89.5)
    (95, 100.0, 0.10891089108910891)
    >>> same = Histogram()
    >>> same.add(np.zeros(4, np.float32))
    >>> same.spread()
    Spread(mean=0.0, p50=0.0, p95=0.0, p99=0.0, max=0.0)
    """

    def __init__(self) -> None:
        self._counts = np.zeros(_BINS, np.int64)
        self.count = 0
        self.total = 0.0
        self.squares = 0.0
        self.greatest = 0.0

    def add(self, values: NDArray[np.float32]) -> None:
        """Count values, shape (n,): finite and not negative."""
        self.take(counted(values))

    def take(self, counts: Counts) -> None:
        """Count values that were counted elsewhere."""
        self._counts[counts.low : counts.low + len(counts.counts)] += counts.counts
        self.count += counts.count
        self.total += counts.total
        self.squares += counts.squares
        self.greatest = max(self.greatest, counts.greatest)

    def merge(self, other: Histogram) -> None:
        """Count all that another has counted."""
        self._counts += other._counts
        self.count += other.count
        self.total += other.total
        self.squares += other.squares
        self.greatest = max(self.greatest, other.greatest)

    def percentile(self, percent: float) -> float:
        """Return the value that so many percent do not exceed, within :data:`RELATIVE_ERROR`."""
        if not self.count:
            return 0.0
        rank = max(1, int(np.ceil(percent / 100 * self.count)))
        at = int(np.searchsorted(np.cumsum(self._counts), rank))
        if at == 0:
            return 0.0
        edges = np.array([at, at + 1], np.uint32) << _DROPPED_BITS
        low, high = edges.view(np.float32).tolist()
        return min((float(low) + float(high)) / 2, self.greatest)

    def share_above(self, value: float) -> float:
        """Return the share of values in bins above that of ``value``."""
        if not self.count:
            return 0.0
        key = int(np.array([max(value, 0.0)], np.float32).view(np.uint32)[0] >> _DROPPED_BITS)
        return int(self._counts[key + 1 :].sum()) / self.count

    @property
    def rms(self) -> float:
        """Root of the mean square."""
        return float(np.sqrt(self.squares / self.count)) if self.count else 0.0

    def spread(self) -> Spread:
        """Return the figures."""
        return Spread(
            mean=self.total / self.count if self.count else 0.0,
            p50=self.percentile(50),
            p95=self.percentile(95),
            p99=self.percentile(99),
            max=self.greatest,
        )
