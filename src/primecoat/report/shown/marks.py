"""Marks over pixels: those that are no numbers, and those that were cut off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

BROKEN = (1.0, 0.0, 1.0)
"""Codes where NaN or an infinity is."""

PLATEAU = (1.0, 0.45, 0.0)
"""Codes of every second diagonal line where light was cut off in the file."""

_LINE = 2


def mark(codes: Floats, broken: Mask, plateau: Mask | None = None) -> Floats:
    """Return codes, shape (height, width, 3), with marks laid over."""
    if plateau is not None and plateau.any():
        down, across = np.indices(plateau.shape)
        lines = (down + across) // _LINE % 2 == 0
        codes = np.where((plateau & lines)[..., None], np.array(PLATEAU, np.float32), codes)
    if broken.any():
        codes = np.where(broken[..., None], np.array(BROKEN, np.float32), codes)
    return np.asarray(codes, np.float32)
