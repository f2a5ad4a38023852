"""Fit adjustments, one parameter after another, so that a person can stop at the simplest.

Least squares over differences of L*, a*, b*, stretched to the length of CIEDE2000 and weighed so
that their sum follows the mean of CIEDE2000 rather than of its square: pixels that no number can
bring together do not pull at those that some can. Solved by the method of Levenberg and Marquardt
with derivatives by differences.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import ciede2000
from primecoat.renders.match.adjustment import STOP, Adjustment
from primecoat.renders.match.steps import Step

Floats = NDArray[np.float64]

_COUNTS: Final = {"nothing": 0, "exposure": 1, "contrast": 2, "saturation": 3, "channels": 10}
"""How many parameters each step fits, those of the steps before it among them."""

_PLACES: Final[dict[Step, int]] = {"exposure": 0, "contrast": 1, "saturation": 2}
_BENDING: Final = frozenset((3, 4, 7, 8, 9))
"""Where slopes and powers of channels stand among the parameters."""

_NUDGE: Final = 1e-3
_ROUNDS: Final = 40
_STILL: Final = 1e-6
_FLOOR: Final = 0.05
"""CIEDE2000 below which a pixel pulls no harder, far below what an eye tells apart."""

_LEAST, _MOST = -12.0, 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A step and the adjustment that it comes to."""

    step: Step
    adjustment: Adjustment


def fit_steps(
    lab_of: Callable[[Adjustment], Floats],
    target: Floats,
    steps: tuple[Step, ...],
    untold: frozenset[Step] = frozenset(),
) -> tuple[Fitted, ...]:
    """Return the best adjustment of each step.

    Parameters
    ----------
    lab_of
        Gives L*, a*, b* of the new picture under an adjustment, shape (n, 3).
    target
        L*, a*, b* of the old one as it was seen, shape (n, 3).
    steps
        Of :data:`STEPS`, in that order.
    untold
        Steps whose numbers the picture cannot tell: they stay as they are. Without contrast no
        slope and power of a channel is told either.
    """
    held = {_PLACES[step] for step in untold if step in _PLACES}
    if "contrast" in untold:
        held |= _BENDING
    values = np.zeros(0)
    fitted = []
    for step in steps:
        more = np.zeros(_COUNTS[step] - len(values))
        free = [at for at in range(_COUNTS[step]) if at not in held]
        values = _best(lab_of, target, np.concatenate([values, more]), free)
        fitted.append(Fitted(step=step, adjustment=_adjustment(values)))
    return tuple(fitted)


def _best(
    lab_of: Callable[[Adjustment], Floats], target: Floats, start: Floats, free: list[int]
) -> Floats:
    if not free or not len(target):
        return start
    values, damping = start, 1e-3
    found = lab_of(_adjustment(values))
    distance = ciede2000(found, target)
    if not distance.any():
        return values
    for _ in range(_ROUNDS):
        residual, weight = _stretched(found, target, distance)
        slopes = np.stack(
            [
                (lab_of(_adjustment(values + step)) - found).ravel() / _NUDGE
                for step in np.eye(len(values))[free] * _NUDGE
            ],
            axis=1,
        )
        square = slopes.T @ (slopes * weight[:, None])
        pull = slopes.T @ (residual * weight)
        while True:
            held = square + damping * np.diag(np.diag(square) + 1e-12)
            step = np.clip(np.linalg.solve(held, -pull), -2.0, 2.0)
            tried = values.copy()
            tried[free] = np.clip(values[free] + step, _LEAST, _MOST)
            seen = lab_of(_adjustment(tried))
            apart = ciede2000(seen, target)
            if _cost(apart) <= _cost(distance):
                damping = max(damping / 5.0, 1e-9)
                break
            damping *= 5.0
            if damping > 1e6:
                return values
        moved = float(np.abs(tried - values).max())
        values, found, distance = tried, seen, apart
        if moved < _STILL:
            break
    return values


def _stretched(found: Floats, target: Floats, distance: Floats) -> tuple[Floats, Floats]:
    """Return residuals and weights, one for each number."""
    difference = found - target
    length = np.linalg.norm(difference, axis=1)
    stretch = np.where(length > 1e-9, distance / np.maximum(length, 1e-9), 1.0)
    weight = stretch**2 / np.maximum(distance, _FLOOR)
    return difference.ravel(), np.repeat(weight, 3)


def _cost(distance: Floats) -> float:
    """Return the mean of CIEDE2000, rounded off below the floor as the weights are."""
    near = distance < _FLOOR
    return float(np.where(near, distance**2 / (2 * _FLOOR) + _FLOOR / 2, distance).mean())


def _adjustment(values: Floats) -> Adjustment:
    """Return the adjustment of parameters: all 0 for nothing; ratios by their logarithm."""
    full = np.zeros(10)
    full[: len(values)] = values
    slope = np.exp([full[3], full[4], -full[3] - full[4]])
    offset = np.array([full[5], full[6], -full[5] - full[6]]) * STOP
    power = np.exp(full[9] + np.array([full[7], full[8], -full[7] - full[8]]))
    return Adjustment(
        stops=float(full[0]),
        contrast=float(np.exp(full[1])),
        saturation=float(np.exp(full[2])),
        slope=(float(slope[0]), float(slope[1]), float(slope[2])),
        offset=(float(offset[0]), float(offset[1]), float(offset[2])),
        power=(float(power[0]), float(power[1]), float(power[2])),
    )
