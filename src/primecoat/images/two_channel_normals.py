"""How well two channels fit the x and y of unit normals, z being left out.

A two-channel normal map stores x and y as ``(n + 1) / 2``; z follows from unit length, so that
``x^2 + y^2`` is at most 1. Lengths alone seldom tell more; the mean (near 0 over a patch of
surface) and integrability (see :mod:`primecoat.images.normal_green`) do.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.images.normal_fit import Storage, vectors_of
from primecoat.images.normal_green import GreenDirection, find_green

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanarFit:
    """How well two channels fit under one way of storing.

    Parameters
    ----------
    storage
        What has to be done to get at x and y.
    inside
        Share of pixels with ``x^2 + y^2`` at most 1.01.
    tilt
        Length of the mean (x, y).
    deviation
        Root mean square length of (x, y) about its mean.
    """

    storage: Storage
    inside: float
    tilt: float
    deviation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoChannelFit:
    """The fits of the first two channels, and their integrability.

    Parameters
    ----------
    third
        What the third channel is: ``none``, ``constant``, or ``varies``.
    derived
        Where there is a varying third channel: median distance between it and the z that follows
        from unit length.
    green
        Curl of the slopes under either direction of green.
    """

    fits: tuple[PlanarFit, ...]
    third: str
    derived: float | None
    green: GreenDirection | None

    def fit(self, storage: Storage) -> PlanarFit | None:
        """Return the fit under one way of storing, or None if it was not tried."""
        return next((fit for fit in self.fits if fit.storage == storage), None)


def fit_two_channels(values: Floats, windows: Floats, *, signed: bool) -> TwoChannelFit | None:
    """Fit the first two of two or three channels.

    Parameters
    ----------
    values
        Shape (2 or 3, pixels): finite, integers scaled to 0 to 1.
    windows
        Shape (windows, 2 or 3, height, width), the same in squares of neighbours.
    signed
        Try also whether the channels hold -1 to 1.
    """
    if not values.shape[1]:
        return None
    ways: tuple[Storage, ...] = ("stored", "decode", "encode", *(("signed",) if signed else ()))
    pair = values[:2]
    fits = tuple(_fit(vectors_of(pair, way), way) for way in ways)
    third, derived = "none", None
    if len(values) > 2:
        third = "constant" if float(np.ptp(values[2])) <= 0.02 else "varies"
        if third == "varies":
            x, y = 2.0 * pair - 1.0
            depth = np.sqrt(np.maximum(0.0, 1.0 - x * x - y * y))
            derived = float(np.median(np.abs(2.0 * values[2] - 1.0 - depth)))
    best = min(fits, key=lambda fit: (1.0 - fit.inside) + fit.tilt)
    green = find_green(vectors_of(windows[:, :2], best.storage))
    return TwoChannelFit(fits=fits, third=third, derived=derived, green=green)


def _fit(vectors: Floats, way: Storage) -> PlanarFit:
    x, y = vectors
    mean_x, mean_y = float(x.mean(dtype=np.float64)), float(y.mean(dtype=np.float64))
    square = x * x + y * y
    tilt = float(np.hypot(mean_x, mean_y))
    return PlanarFit(
        storage=way,
        inside=float(np.mean(square <= 1.01)),
        tilt=tilt,
        deviation=float(np.sqrt(max(0.0, float(square.mean(dtype=np.float64)) - tilt * tilt))),
    )
