"""A few of a picture's colours, kept to be converted and judged later in any space."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

COLOURS = 96
"""Colours taken evenly from the sample; the extremes of each channel come on top."""

Colour = tuple[float, float, float]


def sample_colours(triple: NDArray[Any]) -> tuple[Colour, ...]:
    """Take even samples, and the pixels where a channel is least and greatest.

    Parameters
    ----------
    triple
        Shape (3, pixels): finite, integers scaled to 0 to 1.

    Returns
    -------
    tuple of (red, green, blue)
        At most :data:`COLOURS` + 6, each with six significant digits.

    Examples
    --------
    >>> sample_colours(np.array([[0.0, 1.0], [0.5, 0.25], [0.0, 0.0]]))[:2]
    ((0.0, 0.5, 0.0), (1.0, 0.25, 0.0))
    """
    count = triple.shape[1]
    if not count:
        return ()
    even = np.unique(np.linspace(0, count - 1, min(COLOURS, count)).astype(np.intp))
    ends = [*triple.argmin(axis=1), *triple.argmax(axis=1)]
    chosen = triple[:, [*even, *ends]].T.astype(np.float64)
    return tuple(
        (float(f"{red:.6g}"), float(f"{green:.6g}"), float(f"{blue:.6g}"))
        for red, green, blue in chosen
    )
