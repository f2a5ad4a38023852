"""Small curves drawn with letters, for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

_ROWS: Final = 7
_LABEL: Final = 7
_TICKS: Final = 8
_CHANNELS: Final = "rgb"


def plot(
    x: Sequence[float],
    curves: NDArray[np.floating],
    *,
    least_span: float,
    limits: tuple[float, float],
    label: str,
) -> list[str]:
    """Return red, green and blue curves as lines of text, one column a value.

    Parameters
    ----------
    x
        Evenly spaced values, shown below.
    curves
        Shape (len(x), 3). Numbers that are not finite or beyond ``limits`` are left out.
    least_span
        Height that the plot shows at least, so that noise does not look like a curve.
    limits
        Least and greatest value shown.
    label
        What goes across, put under the plot.

    Returns
    -------
    list of str
        Rows from the top, then the axis; ``*`` where channels fall together.

    Examples
    --------
    >>> flat = np.ones((17, 3))
    >>> for line in plot(list(range(-8, 9)), flat, least_span=2.0, limits=(-6, 6), label="stops"):
    ...     print(line.rstrip())
      +2.00
      +1.67
      +1.33
      +1.00 *****************
      +0.67
      +0.33
      +0.00
            -8      0       8
            stops
    """
    shown = np.where((curves >= limits[0]) & (curves <= limits[1]), curves, np.nan)
    finite = shown[np.isfinite(shown)]
    low, high = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 0.0)
    wide = max(least_span, high - low)
    low = (low + high - wide) / 2
    cells = [[" "] * len(x) for _ in range(_ROWS)]
    for column, values in enumerate(shown):
        for channel, value in zip(_CHANNELS, values, strict=True):
            if np.isfinite(value):
                row = _ROWS - 1 - round((float(value) - low) / wide * (_ROWS - 1))
                cells[row][column] = channel if cells[row][column] == " " else "*"
    steps = [low + wide * (_ROWS - 1 - row) / (_ROWS - 1) for row in range(_ROWS)]
    lines = [
        f"{step + 0.0:+{_LABEL}.2f} {''.join(row)}" for step, row in zip(steps, cells, strict=True)
    ]
    axis = [" "] * (len(x) + _TICKS)
    for column in range(0, len(x), _TICKS):
        axis[column : column + 5] = list(f"{x[column]:g}".ljust(5)[:5])
    margin = " " * (_LABEL + 1)
    return [*lines, f"{margin}{''.join(axis).rstrip()}", f"{margin}{label}"]
