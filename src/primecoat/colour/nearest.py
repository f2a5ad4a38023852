"""The colour of a set that looks most like a wanted one, found by search."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_FIRST_STEP: Final = 0.1
_LAST_STEP: Final = 1e-6
_DIRECTIONS: Final = 64
_ROUNDS: Final = 500
_NOTHING: Final = 1e-9


def nearest_rgb(differences: Callable[[Floats], Floats], starts: Iterable[Floats]) -> Floats:
    """Return the linear RGB, no channel below 0, whose difference is least.

    Steps are taken in the cube root of each channel, which is roughly how an eye spaces them:
    along the axes and 64 random directions (seed 0), halved when none is better.

    Parameters
    ----------
    differences
        Takes linear RGB of shape (n, 3), returns n differences.
    starts
        Linear RGB to start from, each of shape (3,); the best end is taken.

    Returns
    -------
    numpy.ndarray
        Shape (3,).

    Examples
    --------
    >>> wanted = np.array([0.5, 0.25, -0.1])
    >>> found = nearest_rgb(lambda rgb: np.abs(rgb - wanted).sum(axis=1), [np.ones(3)])
    >>> found.round(4).tolist()
    [0.5, 0.25, 0.0]
    """
    ends = [_descend(differences, start) for start in starts]
    _, best = min(ends, key=lambda end: end[0])
    return best


def _descend(differences: Callable[[Floats], Floats], start: Floats) -> tuple[float, Floats]:
    random = np.random.default_rng(0)
    axes = np.concatenate([np.eye(3), -np.eye(3)])
    at = np.cbrt(np.maximum(start, 0.0))
    least = float(differences(at[None] ** 3)[0])
    step = _FIRST_STEP
    for _ in range(_ROUNDS):
        if step < _LAST_STEP or least == 0.0:
            break
        drawn = random.standard_normal((_DIRECTIONS, 3))
        drawn /= np.linalg.norm(drawn, axis=1, keepdims=True)
        tried = np.maximum(at + step * np.concatenate([axes, drawn]), 0.0)
        found = differences(tried**3)
        best = int(np.argmin(found))
        if found[best] < least:
            least, at, step = float(found[best]), tried[best], step * 1.5
        else:
            step /= 2.0
    found = at**3
    return least, np.where(found < _NOTHING, 0.0, found)
