"""Numbers as they are, put between black and white."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.report.shown.opened import Opened

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Scale:
    """The numbers shown as display code 0 and 1."""

    low: float
    high: float


def plain_scale(opened: Opened, alpha: bool = False) -> Scale:
    """Return the scale of a picture: 0 to 1, wider only where its numbers go beyond.

    It is that of the whole picture, so that a part of it is shown alike.
    """
    if alpha or opened.header.pixel_type in ("uint8", "uint16"):
        return Scale(0.0, 1.0)
    whole = opened.whole()
    return Scale(min(0.0, whole.low), max(1.0, whole.high))


def scaled(values: Floats, scale: Scale) -> Floats:
    """Return numbers as display codes.

    Examples
    --------
    >>> scaled(np.array([-2.0, 0.0, 2.0], np.float32), Scale(-2.0, 2.0)).tolist()
    [0.0, 0.5, 1.0]
    """
    if (scale.low, scale.high) == (0.0, 1.0):
        return values
    return np.asarray((values - scale.low) / (scale.high - scale.low), np.float32)
