"""How much of a picture is empty: holds one flat colour.

Texture sheets leave the space between their islands in one colour; an environment or a photograph
has no such space. Measured, not judged: a mask is mostly one value too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Shares of the even sample.

    Parameters
    ----------
    commonest
        Share of pixels that hold exactly the commonest colour.
    """

    commonest: float


def measure_coverage(values: NDArray[Any]) -> Coverage | None:
    """Measure the colour channels of an even sample.

    Parameters
    ----------
    values
        Shape (channels, pixels): codes, or float32; NaN counts as a colour of its own.

    Examples
    --------
    >>> codes = np.array([[7, 7, 7, 9], [0, 0, 0, 0], [1, 1, 1, 1]], dtype=np.uint8)
    >>> measure_coverage(codes)
    Coverage(commonest=0.75)
    """
    if not values.size:
        return None
    key = np.zeros(values.shape[1], dtype=np.uint64)
    for row in values:  # exact for 8 and 16 bits, a hash for floats
        bits = row.view(np.uint32) if row.dtype == np.float32 else row
        key = key * np.uint64(0x100000001B3 if row.dtype == np.float32 else 65536)
        key = key + bits.astype(np.uint64)
    step = max(1, key.size // 16384)
    found, counts = np.unique(key[::step], return_counts=True)
    return Coverage(commonest=float(np.mean(key == found[counts.argmax()])))
