"""Fit an additive logistic model: one piecewise linear part a fact, all parts together.

Penalised maximum likelihood by Newton's method (Hastie and Tibshirani, *Generalized Additive
Models*, 1990; the penalty on differences of neighbouring points is that of Eilers and Marx,
*Flexible smoothing with B-splines and penalties*, Statistical Science 11(2), 1996).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POINTS = 6
"""Points of a line: quantiles of the fact's values."""

ROUGHNESS = 1.5
"""Penalty on the difference of neighbouring points."""

SIZE = 0.5
"""Penalty on the points themselves, which shares a part out among facts that say the same."""

_ROUNDS = 50
_STILL = 1e-7


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted model.

    Parameters
    ----------
    base
        Log odds where every part is 0.
    knots, parts
        For each fact, the points of its line.
    """

    base: float
    knots: dict[str, Floats]
    parts: dict[str, Floats]

    def log_odds(self, rows: Sequence[Mapping[str, float]]) -> Floats:
        """Return the log odds of pictures with these facts, shape (rows,)."""
        total = np.full(len(rows), self.base)
        for name, knots in self.knots.items():
            total += np.interp([row[name] for row in rows], knots, self.parts[name])
        return total


def fit(rows: Sequence[Mapping[str, float]], labels: Floats, weights: Floats) -> Fitted:
    """Fit the model.

    Parameters
    ----------
    rows
        The facts of each picture; all have the same names.
    labels
        1 for colour, 0 for data, shape (rows,).
    weights
        How much each picture counts, shape (rows,).
    """
    knots, blocks = {}, []
    for name in rows[0]:
        values = np.array([row[name] for row in rows])
        points = np.unique(np.round(np.quantile(values, np.linspace(0, 1, POINTS)), 4))
        if len(points) > 1:
            knots[name] = points
            blocks.append(_weights(values, points))
    design = np.hstack([np.ones((len(rows), 1)), *blocks])
    solved = _newton(design, labels, weights, [block.shape[1] for block in blocks])
    base, at, parts = float(solved[0]), 1, {}
    for name, block in zip(knots, blocks, strict=True):
        part = solved[at : at + block.shape[1]]
        middle = float(np.average(block @ part, weights=weights))
        parts[name] = part - middle
        base += middle
        at += block.shape[1]
    return Fitted(base, knots, parts)


def _weights(values: Floats, knots: Floats) -> Floats:
    """Return how much each point of a line counts at each value, shape (values, points)."""
    return np.stack([np.interp(values, knots, row) for row in np.eye(len(knots))], axis=1)


def _newton(design: Floats, labels: Floats, weights: Floats, sizes: Sequence[int]) -> Floats:
    penalty = np.zeros((design.shape[1],) * 2)
    penalty[0, 0] = 1e-6
    at = 1
    for size in sizes:
        differences = np.diff(np.eye(size), axis=0)
        part = ROUGHNESS * differences.T @ differences + SIZE * np.eye(size)
        penalty[at : at + size, at : at + size] = part
        at += size
    solved = np.zeros(design.shape[1])
    for _ in range(_ROUNDS):
        chance = 1.0 / (1.0 + np.exp(-np.clip(design @ solved, -30, 30)))
        slope = design.T @ (weights * (labels - chance)) - penalty @ solved
        curvature = (design * (weights * chance * (1 - chance))[:, None]).T @ design + penalty
        step = np.linalg.solve(curvature, slope)
        solved = solved + step
        if float(np.abs(step).max()) < _STILL:
            break
    return solved
