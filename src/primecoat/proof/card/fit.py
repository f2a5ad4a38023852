"""How well predicted patches explain seen ones, for the exposure that explains them best.

The noise has two parts: the standard error measured in the picture, and what this model of a
render leaves out: light from patch to patch, rounding to 8 bits, a renderer's own shading.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.card.sample import Look

Values = NDArray[np.float64]

CODE_ERROR: Final = 0.004
"""Standard deviation of what the model leaves out, display codes of 0 to 1: one code of 8 bits."""
LIGHT_ERROR: Final = 0.01
"""The same for scene-linear numbers, as a share of each."""
STRAY_ERROR: Final = 0.001
"""Light that goes astray from patch to patch, as a share of the light of white."""
NOTHING: Final = 3.0
"""Root mean square, in standard deviations, from which an explanation is none."""

_COARSE: Final = np.arange(-10.0, 10.01, 0.25)
_FINE: Final = np.linspace(-1.0, 1.0, 21)


@dataclass(frozen=True, slots=True)
class Fit:
    """An explanation: log likelihood, log2 of the exposure, and misfit in standard deviations."""

    log_likelihood: float
    stops: float
    misfit: float


def spread(look: Look, stray: Values | float, *, baked: bool, whole: bool) -> Values:
    """Return the standard deviation of each seen value, shape (fields, 3).

    Parameters
    ----------
    look
        What is seen.
    stray
        What stray light does to the numbers of the file, of the shape of those or one number.
    baked
        Whether the numbers are display codes.
    whole
        Whether the file holds whole numbers.
    """
    left_out = np.zeros(look.mean.shape) if baked else LIGHT_ERROR * np.abs(look.mean)
    if baked or whole:
        left_out = np.hypot(left_out, CODE_ERROR)
    return np.asarray(np.hypot(np.hypot(look.error, left_out), stray))


def fit_at(look: Look, deviation: Values, predicted: Values, stops: float) -> Fit:
    """Return how well numbers explain what is seen."""
    z = np.minimum(np.abs(look.mean - predicted) / deviation, 1e3)
    square = float((z**2).sum())
    return Fit(-0.5 * square, stops, float(np.sqrt(square / z.size)))


def best_fit(
    look: Look, deviation: Values, values: Values, show: Callable[[Values], Values]
) -> Fit:
    """Return the explanation at the exposure that explains best.

    Parameters
    ----------
    look, deviation
        What is seen, and how far it may be off.
    values
        Linear in the working space, shape (fields, 3).
    show
        From light to numbers of the file, shape kept.
    """
    if not np.any(values):
        return fit_at(look, deviation, show(values), 0.0)
    stops, step = _COARSE, 0.25
    best = 0.0
    for _ in range(3):
        predicted = show(values[None] * np.exp2(stops)[:, None, None])
        z = np.minimum(np.abs(look.mean - predicted) / deviation, 1e3)
        best = float(stops[np.argmin((z**2).sum(axis=(1, 2)))])
        stops, step = best + step * _FINE, step / 10
    return fit_at(look, deviation, show(values * np.exp2(best)), best)
