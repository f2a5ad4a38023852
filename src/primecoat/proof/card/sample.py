"""Look at the fields of the card in a picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.card.layout import PATCHES, fields
from primecoat.proof.card.plane import Map, Points, carried, look_up

_GRID: Final = 13
"""Points a side that a field is looked at in."""
_LEAST: Final = 20
"""Points with finite numbers that a field must have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the fields of one input look like.

    Parameters
    ----------
    mean
        Mean of each field, shape (fields, 3), extremes left out.
    error
        Standard error of the mean, shape (fields, 3).
    """

    mean: NDArray[np.float64]
    error: NDArray[np.float64]


def look_at(picture: NDArray[np.floating], to_picture: Map) -> Mapping[str, Look]:
    """Return what each input looks like, by its key; the wedge is ``white``."""
    means: dict[str, list[NDArray[np.float64]]] = {}
    errors: dict[str, list[NDArray[np.float64]]] = {}
    for patch in PATCHES:
        for x, y, half in fields(patch):
            mean, error = _field(picture, to_picture, x, y, half)
            means.setdefault(patch.given, []).append(mean)
            errors.setdefault(patch.given, []).append(error)
    return {key: Look(mean=np.array(means[key]), error=np.array(errors[key])) for key in means}


def _field(
    picture: NDArray[np.floating], to_picture: Map, x: float, y: float, half: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return mean and standard error; the tenths at both ends are left out."""
    steps = np.linspace(-half, half, _GRID)
    across, up = np.meshgrid(x + steps, y + steps)
    at = carried(to_picture, np.stack((across.ravel(), up.ravel()), axis=1))
    values = look_up(picture, at)
    values = values[np.isfinite(values).all(axis=1)]
    if len(values) < _LEAST:
        return np.zeros(3), np.full(3, np.inf)  # nothing can be said of it
    ordered = np.sort(values, axis=0)
    cut = len(ordered) // 10
    kept = ordered[cut : len(ordered) - cut]
    pixels = min(float(len(kept)), max(1.0, _area(at)))
    return kept.mean(axis=0), 1.3 * kept.std(axis=0) / np.sqrt(pixels)


def _area(at: Points) -> float:
    """Return how many pixels the field covers."""
    grid = at.reshape(_GRID, _GRID, 2)
    one, two = grid[0, -1] - grid[0, 0], grid[-1, 0] - grid[0, 0]
    return float(abs(one[0] * two[1] - one[1] * two[0]))
