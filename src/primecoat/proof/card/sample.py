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

Values = NDArray[np.float64]


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
    steps = np.linspace(-1.0, 1.0, _GRID)
    grid = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    places = [(patch.given, *field) for patch in PATCHES for field in fields(patch)]
    spots = np.array([np.array([x, y]) + half * grid for _, x, y, half in places])
    at = carried(to_picture, spots.reshape(-1, 2)).reshape(spots.shape)
    values = look_up(picture, at.reshape(-1, 2)).reshape(*spots.shape[:2], 3)
    found: dict[str, list[tuple[Values, Values]]] = {}
    for (given, *_), seen, where in zip(places, values, at, strict=True):
        found.setdefault(given, []).append(_field(seen, _area(where)))
    return {
        key: Look(mean=np.array([m for m, _ in of_key]), error=np.array([e for _, e in of_key]))
        for key, of_key in found.items()
    }


def _field(values: Values, area: float) -> tuple[Values, Values]:
    """Return mean and standard error; the tenths at both ends are left out."""
    values = values[np.isfinite(values).all(axis=1)]
    if len(values) < _LEAST:
        return np.zeros(3), np.full(3, np.inf)  # nothing can be said of it
    ordered = np.sort(values, axis=0)
    cut = len(ordered) // 10
    kept = ordered[cut : len(ordered) - cut]
    pixels = min(float(len(kept)), max(1.0, area))
    return kept.mean(axis=0), 1.3 * kept.std(axis=0) / np.sqrt(pixels)


def _area(at: Points) -> float:
    """Return how many pixels the field covers."""
    grid = at.reshape(_GRID, _GRID, 2)
    one, two = grid[0, -1] - grid[0, 0], grid[-1, 0] - grid[0, 0]
    return float(abs(one[0] * two[1] - one[1] * two[0]))
