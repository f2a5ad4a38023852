"""How much light gets from a lamp to a surface: what is open on the way lets its share through."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.met import Shapes, opacity_of
from primecoat.proof.paths.rays import Hits

Floats = NDArray[np.float32]

LAYERS: Final = 16
"""Surfaces that light goes through at most; what lies behind more is dark."""

_STEP = np.float32(1e-4)
"""How far behind a surface the way goes on, metres for each metre of its place's distance."""


def let_through(shapes: Shapes, starts: Floats, ways: Floats, reach: Floats) -> Floats:
    """Return the share of light that nothing on its way keeps, 0 to 1, shape (n,).

    Parameters
    ----------
    shapes
        What may be in the way.
    starts, ways
        Shape (n, 3); ways are unit vectors.
    reach
        How far the lamp is, shape (n,).
    """
    if not any(shapes.open):
        return (~shapes.triangles.blocked(starts, ways, reach)).astype(np.float32)
    share = np.ones(len(starts), np.float32)
    here, left, on = starts.astype(np.float32), reach.astype(np.float32), np.arange(len(starts))
    for _ in range(LAYERS):
        if not len(on):
            return share
        found = shapes.triangles.first(here, ways[on])
        hit = (found.triangle >= 0) & (found.distance < left)
        on, found, here, left = on[hit], found.only(hit), here[hit], left[hit]
        share[on] *= 1.0 - _opacity(shapes, found)
        gap = found.distance + _STEP * np.maximum(1.0, np.abs(here).max(axis=1))
        here, left = (here + gap[:, None] * ways[on]).astype(np.float32), left - gap
        more = share[on] > 0.0
        on, here, left = on[more], here[more], left[more]
    share[on] = 0.0
    return share


def _opacity(shapes: Shapes, hits: Hits) -> Floats:
    """Return how opaque what was met is, 0 to 1, shape (n,)."""
    opacity = np.ones(len(hits.triangle), np.float32)
    surface = shapes.surface[hits.triangle]
    for index in np.unique(surface):
        if shapes.open[index]:
            mine = np.flatnonzero(surface == index)
            number = hits.triangle[mine]
            share = np.stack((1.0 - hits.across - hits.along, hits.across, hits.along), axis=1)
            uv = np.einsum("nc,ncx->nx", share[mine], shapes.places[number])
            opacity[mine] = opacity_of(shapes.surfaces[index], uv)
    return np.asarray(np.clip(opacity, 0.0, 1.0), np.float32)
