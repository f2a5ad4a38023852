"""How many stops brighter one picture is than another, from a sample of both."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Light = NDArray[np.float32]
"""Amounts of light, shape (pixels,)."""

_DARK = 0.1
"""Pixels below this share of the median light are left out: there noise is larger than light."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """The median of log2 of a ratio of light, and how it is spread.

    Parameters
    ----------
    median
        Stops; positive: the second is brighter. 0 if no pixel could be told.
    p5, p95
        5 % and 95 % of the pixels are below.
    pixels
        How many pixels were told.
    """

    median: float
    p5: float
    p95: float
    pixels: int


def stops_between(one: Light, other: Light) -> Stops:
    """Return the stops from one picture to another.

    The median is not moved by noise that is alike in both, nor by up to half of the pixels
    showing something else. Which pixels are bright enough is told by the mean of both, once they
    are brought to one exposure, so that the choice favours neither.

    Examples
    --------
    >>> light = np.linspace(0.1, 1, 1001, dtype=np.float32)
    >>> round(stops_between(light, 2 * light).median, 6)
    1.0
    >>> stops_between(light, light).median
    0.0
    """
    known = np.isfinite(one) & np.isfinite(other)
    first, second = one[known].astype(np.float64), other[known].astype(np.float64)
    found, gain = np.zeros(0), 1.0
    for _ in range(2):
        level = first + second / gain
        lit = level > 0
        if not lit.any():
            return Stops(median=0.0, p5=0.0, p95=0.0, pixels=0)
        bright = level > _DARK * float(np.median(level[lit]))
        found = _logarithms(first[bright], second[bright])
        middle = float(np.median(found))
        gain = 2.0**middle if abs(middle) < 64 else 1.0
    p5, p50, p95 = (
        float(v) for v in np.clip(np.percentile(found, (5, 50, 95), method="nearest"), -64, 64)
    )
    return Stops(median=p50, p5=p5, p95=p95, pixels=len(found))


def _logarithms(first: NDArray[np.float64], second: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return log2(second / first); where one is not above 0, the end of the scale it lies at."""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.log2(second / first)
    dark_one, dark_other = first <= 0, second <= 0
    found[dark_one & ~dark_other] = np.inf
    found[dark_other & ~dark_one] = -np.inf
    return np.where(dark_one & dark_other, 0.0, found)
