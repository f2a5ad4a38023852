"""What colour there is where alpha is zero."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from primecoat.images.image_statistics import AlphaStatistics

Floats = NDArray[np.float32]


def measure_alpha(alpha: Floats, colour: Floats) -> AlphaStatistics:
    """Measure alpha against colour.

    Parameters
    ----------
    alpha
        Shape (pixels): finite, integers scaled to 0 to 1.
    colour
        Shape (channels, pixels), the same.

    Examples
    --------
    >>> alpha = np.array([0, 0, 0.5, 1], dtype=np.float32)
    >>> measure_alpha(alpha, np.array([[0.3, 0, 0.3, 0.3]], dtype=np.float32))
    AlphaStatistics(transparent=0.5, colour_under_zero=0.5)
    """
    clear = alpha <= 0.0
    painted = (colour > 0).any(axis=0) if len(colour) else np.zeros_like(clear)
    count = int(np.count_nonzero(clear))
    return AlphaStatistics(
        transparent=count / max(1, alpha.size),
        colour_under_zero=int(np.count_nonzero(painted & clear)) / max(1, count),
    )
