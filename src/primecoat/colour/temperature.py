"""The correlated colour temperature of a chromaticity, and how far it is from a black body."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.locus import PLANCKIAN_RANGE, planckian_xy
from primecoat.colour.primaries import Chromaticity

METHOD: Final = (
    "nearest black body in CIE 1960 u, v, searched for on Planck's law itself (the definition of "
    "CIE 15); Duv is the distance, positive above the locus (Y. Ohno, Leukos 10(1), 2014)"
)
"""How temperature and distance are found, in words to show. Both sources are from memory."""

FARTHEST: Final = 0.05
"""Duv beyond which a temperature says nothing. Source: CIE 15, correlated colour temperature
(from memory)."""

_GRID: Final = 241
_ROUNDS: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Temperature:
    """How warm or cold a colour is.

    Parameters
    ----------
    kelvin
        Correlated colour temperature, 1000 to 25000; None where none has a meaning.
    duv
        Distance from the nearest black body in CIE 1960 u, v; above the locus (greenish) positive.
    """

    kelvin: float | None
    duv: float


def temperature_of(xy: Chromaticity) -> Temperature:
    """Return the correlated colour temperature and Duv of a chromaticity.

    No temperature is told where Duv is beyond 0.05, and where the nearest black body is at an end
    of 1000 to 25000 K: it may lie beyond.

    Parameters
    ----------
    xy
        CIE 1931 chromaticity.

    Examples
    --------
    >>> found = temperature_of((0.3127, 0.3290))
    >>> round(found.kelvin), round(found.duv, 4)
    (6504, 0.0032)
    """
    wanted = _uv(xy)
    mired, locus = _locus()
    at = int(np.argmin(np.hypot(*(locus - wanted).T)))
    low, high = mired[max(at - 1, 0)], mired[min(at + 1, _GRID - 1)]
    golden = (np.sqrt(5.0) - 1.0) / 2.0
    for _ in range(_ROUNDS):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if _distance(left, wanted) < _distance(right, wanted):
            high = right
        else:
            low = left
    best = float(low + high) / 2.0
    near = _at(best)
    duv = float(np.copysign(np.hypot(*(wanted - near)), wanted[1] - near[1]))
    at_an_end = min(best - mired[0], mired[-1] - best) < 1e-6 * mired[-1]
    told = abs(duv) <= FARTHEST and not (at_an_end and abs(duv) > 1e-6)
    return Temperature(kelvin=1e6 / best if told else None, duv=duv)


def _uv(xy: Chromaticity) -> NDArray[np.float64]:
    x, y = xy
    scale = -2.0 * x + 12.0 * y + 3.0
    return np.array([4.0 * x, 6.0 * y]) / scale


def _at(mired: float) -> NDArray[np.float64]:
    least, most = PLANCKIAN_RANGE
    return _uv(planckian_xy(min(max(1e6 / mired, least), most)))


def _distance(mired: float, wanted: NDArray[np.float64]) -> float:
    return float(np.hypot(*(_at(mired) - wanted)))


@lru_cache(maxsize=1)
def _locus() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return mireds in even steps, and u, v there; shapes (n,) and (n, 2)."""
    least, most = PLANCKIAN_RANGE
    mired = np.linspace(1e6 / most, 1e6 / least, _GRID)
    return mired, np.array([_at(float(m)) for m in mired])
