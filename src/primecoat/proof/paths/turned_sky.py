"""An environment picture turned with its light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


def turned_sky(picture: Floats, axes: NDArray[np.float64]) -> Floats:
    """Return a latitude-longitude picture as it stands in the world.

    Parameters
    ----------
    picture
        Shape (height, width, 3), as in :class:`primecoat.proof.paths.model.Dome`, in the light's
        own frame.
    axes
        The light's x, y and z in the world, shape (3, 3); their lengths say nothing.

    Examples
    --------
    >>> half = np.zeros((2, 4, 3), np.float32)
    >>> half[:, :2] = 1.0  # +x is left of the middle
    >>> turned_sky(half, np.diag([-1.0, 1.0, -1.0]))[0, :, 0].tolist()
    [0.0, 0.0, 1.0, 1.0]
    """
    units = axes / np.maximum(np.linalg.norm(axes, axis=1, keepdims=True), 1e-30)
    if np.allclose(units, np.eye(3), atol=1e-9):
        return picture
    height, width = picture.shape[:2]
    down = (np.arange(height) + 0.5) / height * np.pi
    around = ((np.arange(width) + 0.5) / width - 0.5) * 2.0 * np.pi
    level, up = np.sin(down)[:, None], np.cos(down)[:, None]
    ways = np.stack((-np.sin(around) * level, up + 0.0 * around, np.cos(around) * level), axis=-1)
    own = ways @ np.linalg.inv(units)
    own /= np.linalg.norm(own, axis=-1, keepdims=True)
    row = np.arccos(np.clip(own[..., 1], -1.0, 1.0)) / np.pi * height
    column = (np.arctan2(-own[..., 0], own[..., 2]) / (2.0 * np.pi) + 0.5) * width
    rows = np.minimum(row.astype(np.intp), height - 1)
    return np.ascontiguousarray(picture[rows, np.minimum(column.astype(np.intp), width - 1)])
