"""Perspective maps between the plane of the card and the pixels of a picture."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
"""Shape (n, 2)."""

Map = NDArray[np.float64]
"""Shape (3, 3): a plane perspective, for column vectors x, y, 1."""


def map_between(source: Points, target: Points) -> Map:
    """Return the perspective that carries four points to four others.

    Examples
    --------
    >>> square = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    >>> carried(map_between(square, 2 * square + 1), square).round(6).tolist()[2]
    [3.0, 3.0]
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    found = np.linalg.solve(np.array(rows, float), np.array(right, float))
    return np.append(found, 1.0).reshape(3, 3)


def carried(by: Map, points: Points) -> Points:
    """Return points carried by a perspective."""
    full = points @ by[:, :2].T + by[:, 2]
    return np.asarray(full[:, :2] / full[:, 2:])


def look_up(picture: NDArray[np.floating], at: Points) -> NDArray[np.float64]:
    """Return the values of a picture at points, between pixels by bilinear weights.

    Parameters
    ----------
    picture
        Shape (height, width) or (height, width, channels).
    at
        x and y in pixels, shape (n, 2); the middle of the first pixel is 0.5, 0.5. Points beyond
        the edge take the nearest pixel.
    """
    height, width = picture.shape[:2]
    x = np.clip(at[:, 0] - 0.5, 0, width - 1)
    y = np.clip(at[:, 1] - 0.5, 0, height - 1)
    left = np.minimum(x.astype(int), max(width - 2, 0))
    top = np.minimum(y.astype(int), max(height - 2, 0))
    right, low = np.minimum(left + 1, width - 1), np.minimum(top + 1, height - 1)
    across, down = x - left, y - top
    if picture.ndim == 3:
        across, down = across[:, None], down[:, None]
    above = picture[top, left] * (1 - across) + picture[top, right] * across
    below = picture[low, left] * (1 - across) + picture[low, right] * across
    return np.asarray(above * (1 - down) + below * down, np.float64)
