"""How neighbouring pixels relate, across channels too: pictures of things against made-up data.

Pictures of the world have steps with heavy tails (kurtosis far above the 3 of a normal
distribution; Huang and Mumford, *Statistics of natural images and models*, CVPR 1999), steps
that grow slowly with distance, as their power spectrum falls as about 1 / frequency^2 (Field,
*Relations between the statistics of natural images and the response properties of cortical
cells*, JOSA A 4(12), 1987), and detail that the channels share, as light falls on all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpatialStatistics:
    """Relations of neighbours over the windows.

    Parameters
    ----------
    autocorrelation
        Of pixels 1, 2, 4 and 8 apart, about each window's mean; empty for constant windows.
    step_kurtosis
        Kurtosis of the steps between neighbours: 3 for a normal distribution; None without steps.
    step_growth
        Exponent with which the mean square step grows with distance: 0 for noise, below 1 for
        most natural pictures, 2 for smooth ramps; None without steps.
    detail_together
        Least correlation of two channels' steps: near 1 for light on things, near 0 for a packed
        map; None for one channel or where one has no steps.
    flat
        Share of neighbours that are exactly equal.
    """

    autocorrelation: tuple[float, ...]
    step_kurtosis: float | None
    step_growth: float | None
    detail_together: float | None
    flat: float


def measure_neighbours(windows: Floats) -> SpatialStatistics | None:
    """Measure windows of one or three channels.

    Parameters
    ----------
    windows
        Shape (windows, channels, height, width): finite, integers scaled to 0 to 1.
    """
    if min(windows.shape[2:]) < 16 or not windows.shape[1]:
        return None
    grey = windows.mean(axis=1)
    grey = grey - grey.mean(axis=(1, 2), keepdims=True)
    variance = float(np.mean(grey * grey))
    growth = [_growth(grey, lag) for lag in (1, 2, 4, 8)]
    steps = np.diff(grey, axis=2)
    square = steps * steps
    energy = float(square.mean())
    moving = energy > 1e-9
    slope = None
    if min(growth) > 1e-9:
        slope = float(np.polyfit(np.log2((1, 2, 4, 8)), np.log2(growth), 1)[0])
    return SpatialStatistics(
        autocorrelation=tuple(1.0 - g / (2 * variance) for g in growth) if variance > 1e-9 else (),
        step_kurtosis=float(np.mean(square * square)) / energy**2 if moving else None,
        step_growth=slope,
        detail_together=_together(windows),
        flat=float(np.mean(steps == 0.0)),
    )


def _growth(grey: Floats, lag: int) -> float:
    """Return the mean square step over a distance, both ways (the variogram, doubled)."""
    along, down = grey[:, :, lag:] - grey[:, :, :-lag], grey[:, lag:] - grey[:, :-lag]
    return float(np.mean(along * along) + np.mean(down * down)) / 2


def _together(windows: Floats) -> float | None:
    if windows.shape[1] < 2:
        return None
    steps = np.diff(windows, axis=3).transpose(1, 0, 2, 3).reshape(windows.shape[1], -1)
    shared = np.asarray(steps @ steps.T, dtype=np.float64)
    own = np.sqrt(np.diag(shared))
    if own.min() <= 1e-4 * np.sqrt(steps.shape[1]):
        return None
    return float((shared / np.outer(own, own)).min())
