"""How colour and alpha go together: multiplied (associated) or not.

Colour that was multiplied by alpha cannot exceed it where the surface reflects less than 1
(Porter and Duff, *Compositing digital images*, SIGGRAPH 1984), and is 0 where alpha is.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from primecoat.images.image_statistics import AlphaStatistics

Floats = NDArray[np.float32]

_FEW = 64


def measure_alpha(alpha: Floats, colour: Floats) -> AlphaStatistics:
    """Measure alpha against colour.

    Parameters
    ----------
    alpha
        Shape (pixels): finite, integers scaled to 0 to 1.
    colour
        Shape (channels, pixels), the same.
    """
    clear, full = alpha <= 0.0, alpha >= 1.0
    partly = ~(clear | full)
    peak = colour.max(axis=0) if len(colour) else np.zeros_like(alpha)

    def share(part: NDArray[np.bool_], whole: NDArray[np.bool_]) -> float:
        return float(np.count_nonzero(part & whole)) / max(1, int(np.count_nonzero(whole)))

    everywhere = np.ones_like(clear)
    return AlphaStatistics(
        transparent=share(clear, everywhere),
        opaque=share(full, everywhere),
        colour_under_zero=share(peak > 0, clear),
        colour_above_alpha=share(peak > alpha + np.float32(1e-6), partly),
        colour_with_alpha=_together(peak[partly], alpha[partly]),
    )


def _together(one: Floats, other: Floats) -> float | None:
    if one.size < _FEW or np.ptp(one) < 0.01 or np.ptp(other) < 0.01:
        return None
    return float(np.corrcoef(one, other)[0, 1])
