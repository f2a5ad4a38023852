"""Traces of JPEG's blocks of 8 x 8 pixels, also in a picture saved again without loss.

JPEG codes each block by itself (ITU-T T.81, annex A), so that coarse quantisation leaves a step at
every eighth row and column. The step is compared with the mean of the steps on either side of it,
as in Wang, Sheikh and Bovik, *No-reference perceptual quality assessment of JPEG compressed
images*, IEEE ICIP 2002; here over all eight phases, so that a cropped picture shows it too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockGrid:
    """The grid in one direction of steps.

    Parameters
    ----------
    strength
        How much greater the step at the blocks' edges is than between other neighbours, less 1,
        of the weaker direction; 0 without a grid.
    errors
        The same in standard errors of the five phases that do not touch it.
    """

    strength: float
    errors: float


def find_blocks(windows: Floats) -> BlockGrid | None:
    """Look for the grid in windows of one channel.

    Parameters
    ----------
    windows
        Shape (windows, height, width), each beginning at a multiple of 8 pixels.

    Returns
    -------
    BlockGrid or None
        None for windows of less than three blocks, or without any detail.
    """
    if min(windows.shape[1:]) < 24:
        return None
    column = _phases(windows)
    row = _phases(windows.transpose(0, 2, 1))
    if column is None or row is None:
        return None
    strength, errors = min(row, column, key=lambda found: found[1])
    return BlockGrid(strength=strength, errors=errors)


def _phases(windows: Floats) -> tuple[float, float] | None:
    """Return the greatest excess of steps of any phase, and its standard errors."""
    steps = np.diff(windows, axis=2)
    size = np.abs(steps[:, :, 1:-1] - (steps[:, :, :-2] + steps[:, :, 2:]) / 2)
    size = np.minimum(size, np.float32(0.1))  # edges of the subject are no blocks
    by_column = size.mean(axis=(0, 1), dtype=np.float64)
    by_phase = np.array([by_column[(at - 2) % 8 :: 8].mean() for at in range(8)])
    best = int(by_phase.argmax())
    others = np.delete(by_phase, [(best + at) % 8 for at in (-1, 0, 1)])  # a step's neighbours
    mean, spread = float(others.mean()), float(others.std(ddof=1))
    if mean <= 1e-6:
        return None
    floor = 0.02 * mean  # phases of unlike subjects differ by so much anyway
    return (
        float(by_phase[best]) / mean - 1.0,
        (float(by_phase[best]) - mean) / (spread + floor),
    )
