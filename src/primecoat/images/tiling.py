"""Whether a picture joins at its edges when it is laid side by side with itself.

Maps for surfaces are made to tile, or end in an even border; a photograph ends where the frame
ends, and its left edge has nothing to do with its right one (common practice, no source).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_LEAST_ROWS = 16


def measure_seam(grey: NDArray[np.float32]) -> float | None:
    """Return how far opposite edges are from joining: 0 as neighbours do, 1 as strangers do.

    The variogram (half the mean square difference over a distance; Matheron, *Principles of
    geostatistics*, Economic Geology 58(8), 1963) across the edge is compared with that of
    neighbours and with the variance, and the worse of the two directions counts.

    Parameters
    ----------
    grey
        Shape (rows, columns): an even sample of the whole picture, so that the way from its last
        row over the edge to its first is no farther than from row to row.

    Returns
    -------
    float or None
        0 to 1; None where neighbours differ as much as strangers, or nothing differs.

    Examples
    --------
    >>> wave = np.sin(2 * np.pi * np.arange(64) / 64) + np.zeros((64, 1))
    >>> round(measure_seam((wave + wave.T).astype(np.float32)) or 0.0, 2)
    0.0
    """
    if min(grey.shape) < _LEAST_ROWS:
        return None
    found = [seam for seam in (_along(grey), _along(grey.T)) if seam is not None]
    return max(found, default=None)


def _along(grey: NDArray[np.float32]) -> float | None:
    steps = np.diff(grey, axis=0)
    near = float(np.mean(steps * steps)) / 2
    column = grey - grey.mean(axis=0)
    far = float(np.mean(column * column))
    if far <= 1e-6 or near > 0.7 * far:
        return None
    over = grey[0] - grey[-1]
    across = float(np.mean(over * over)) / 2
    return float(np.clip((across - near) / (far - near), 0.0, 1.0))
