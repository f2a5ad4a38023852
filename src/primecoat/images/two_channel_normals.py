"""How well two channels fit the x and y of unit normals, z being left out.

A two-channel normal map stores x and y as ``(n + 1) / 2``; z follows from unit length, so that
``x^2 + y^2`` is at most 1. Lengths alone seldom tell more; the mean (near 0 over a patch of
surface) and integrability (see :mod:`primecoat.images.normal_green`) do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.images.normal_fit import Storage, vectors_of
from primecoat.images.normal_green import GreenDirection, find_green

Floats = NDArray[np.float32]
Third = Literal["none", "constant", "varies"]

_FLAT = 0.02
"""Range up to which a channel counts as one value: lossy files stir it a little."""


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
    depth
        Median of the z that follows from unit length: 0 where all vectors lie in the plane, as
        bare directions do.
    """

    storage: Storage
    inside: float
    tilt: float
    deviation: float
    depth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoChannelFit:
    """The fits of two channels, and their integrability.

    Parameters
    ----------
    channels
        Indices, in the file, of the channels that hold x and y.
    third
        What the channels beside them are: ``none`` (there are none), ``constant`` (or a copy of
        y), or ``varies``.
    together
        Correlation of x and y as stored; None where one is constant.
    green
        Curl of the slopes under either direction of green.
    """

    channels: tuple[int, int]
    fits: tuple[PlanarFit, ...]
    third: Third
    together: float | None
    green: GreenDirection | None

    def fit(self, storage: Storage) -> PlanarFit | None:
        """Return the fit under one way of storing, or None if it was not tried."""
        return next((fit for fit in self.fits if fit.storage == storage), None)


def fit_two_channels(
    values: Floats, windows: Floats, indices: tuple[int, ...], *, signed: bool, alpha: bool
) -> TwoChannelFit | None:
    """Fit the two channels of a picture that may be x and y.

    They are red and green. Formats without two-channel pictures keep them in grey and alpha,
    either way round, or in alpha and green, with red and blue constant or copies of green.

    Parameters
    ----------
    values
        Shape (2 to 4, pixels): finite, integers scaled to 0 to 1.
    windows
        Shape (windows, 2 to 4, height, width), the same in squares of neighbours.
    indices
        The channels' indices in the file.
    signed
        Try also whether the channels hold -1 to 1.
    alpha
        Whether the last of the channels is alpha.

    Returns
    -------
    TwoChannelFit or None
        Of the order that fits best; None for an empty sample.
    """
    if not values.shape[1]:
        return None
    fits = []
    for x, y in _orders(values, alpha=alpha):
        others = [i for i in range(len(values) - (alpha and len(values) == 4)) if i not in (x, y)]
        bare = all(float(np.ptp(values[i])) <= _FLAT or _same(values[i], values[y]) for i in others)
        third: Third = "none" if not others else "constant" if bare else "varies"
        pair, near = values[[x, y]], windows[:, [x, y]]
        fits.append(_of_pair(pair, near, (indices[x], indices[y]), third, signed=signed))
    return max(fits, key=lambda fit: abs(fit.green.errors) if fit.green else 0.0)


def _orders(values: Floats, *, alpha: bool) -> tuple[tuple[int, int], ...]:
    """Return which rows may be x and y."""
    if not alpha:
        return ((0, 1),)
    if len(values) == 2:
        return (0, 1), (1, 0)
    if len(values) < 4 or float(np.ptp(values[3])) <= _FLAT:
        return ((0, 1),)
    red, green, blue = values[:3]
    if _same(red, green) and _same(blue, green):
        return (3, 1), (1, 3)
    flat = max(float(np.ptp(red)), float(np.ptp(blue))) <= _FLAT
    return ((3, 1),) if flat else ((0, 1),)


def _same(one: Floats, other: Floats) -> bool:
    return float(np.mean(np.abs(one - other))) <= _FLAT / 4


def _of_pair(
    pair: Floats, near: Floats, channels: tuple[int, int], third: Third, *, signed: bool
) -> TwoChannelFit:
    ways: tuple[Storage, ...] = ("stored", "decode", "encode", *(("signed",) if signed else ()))
    fits = tuple(_fit(vectors_of(pair, way), way) for way in ways)
    best = min(fits, key=lambda fit: (1.0 - fit.inside) + fit.tilt)
    x, y = pair - pair.mean(axis=1, keepdims=True)
    size = float(np.sqrt(float(np.mean(x * x)) * float(np.mean(y * y))))
    return TwoChannelFit(
        channels=channels,
        fits=fits,
        third=third,
        together=float(np.mean(x * y)) / size if size > 1e-9 else None,
        green=find_green(vectors_of(near, best.storage)),
    )


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
        depth=float(np.sqrt(max(0.0, 1.0 - float(np.median(square))))),
    )
