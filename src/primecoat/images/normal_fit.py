"""How well pixels fit a tangent-space normal map, under each way they may have been stored.

A tangent-space normal is a unit vector stored as ``v = (n + 1) / 2``. The length of ``2 v - 1`` is
therefore 1 for a sound map; for a map that went through an sRGB curve it is 1 only after the curve
is undone. Over a patch of surface the sideways parts cancel, so their mean is near 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.images.curves import light_to_srgb, srgb_to_light

Floats = NDArray[np.float32]
Storage = Literal["stored", "decode", "encode", "decode_twice", "encode_twice", "signed"]

_PIXELS = 16 * 1024
"""Pixels looked at; more of them would not change a median noticeably."""

_BINS = 32
"""Steps per channel in which the dominating colour is sought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageFit:
    """How well pixels fit unit normals under one way of storing them.

    Parameters
    ----------
    storage
        What has to be done to get at the normals: ``stored`` (nothing, a sound map), ``decode``
        (undo an sRGB encoding), ``encode`` (undo a surplus sRGB decoding), the same twice, or
        ``signed`` (float maps that hold -1 to 1).
    length_error
        Median of how far the vector's length is from 1.
    length_spread
        Half of the range that holds the middle 68 % of the lengths.
    depth_spread
        The same of the vectors' z.
    forward
        Share of vectors that clearly point out of the surface (z above 0.05; mid-grey codes have
        0.004).
    tilt
        Length of the mean sideways part (x, y).
    """

    storage: Storage
    length_error: float
    length_spread: float
    depth_spread: float
    forward: float
    tilt: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalFit:
    """The fits under all ways of storing, how flat the picture is, and the part of shading.

    Parameters
    ----------
    fits
        One for each way of storing.
    shading
        The lower one of the correlations of blue with red and with green; None where a channel is
        constant. Light on a coloured thing moves all channels together (near 1); bending a
        surface moves x and y both ways but z only down (near 0).
    flat_share
        Share of the pixels that have the dominating colour.
    blue_step
        Size of blue's steps between neighbours against those of red and green, where blue is not
        cut off; None where there are too few. Codecs that keep chroma at half resolution leave
        fine detail in luma alone, which moves all channels by the same amount (ITU-T T.871,
        section 7: R, G and B each hold Y with the factor 1), so that it is 1. Light on a violet
        thing scales the channels, so that it is their ratio, near 2.
    blue_ratio
        Mean blue against the mean of red and green.
    """

    fits: tuple[StorageFit, ...]
    shading: float | None
    flat_share: float
    blue_step: float | None = None
    blue_ratio: float = 1.0

    def fit(self, storage: Storage) -> StorageFit | None:
        """Return the fit under one way of storing, or None if it was not tried."""
        return next((fit for fit in self.fits if fit.storage == storage), None)


def fit_normals(triple: NDArray[Any], windows: Floats | None = None) -> NormalFit | None:
    """Fit the three channels of a sample as normals.

    Parameters
    ----------
    triple
        Shape (3, pixels): codes (uint8, uint16), or finite float values.
    windows
        Shape (windows, 3, height, width): squares of neighbours, finite, integers scaled to 0
        to 1.

    Returns
    -------
    NormalFit or None
        None for an empty sample.
    """
    step = max(1, triple.shape[1] // _PIXELS)
    pixels = np.ascontiguousarray(triple[:, ::step])
    if not pixels.shape[1]:
        return None
    values = _values(pixels)
    ways: tuple[Storage, ...] = ("stored", "decode", "encode", "decode_twice", "encode_twice")
    if pixels.dtype.kind == "f":
        ways = (*ways, "signed")
    fits = tuple(_fit(way, pixels) for way in ways)
    return NormalFit(
        fits=fits,
        shading=_shading(values),
        flat_share=_dominating(values),
        blue_step=None if windows is None else _blue_step(windows),
        blue_ratio=float(values[2].mean()) / max(1e-3, float(values[:2].mean())),
    )


def _blue_step(windows: Floats) -> float | None:
    """Compare steps between neighbours in a row; a full blue has no room to move."""
    steps = np.diff(windows, axis=3)
    blue = windows[:, 2]
    free = np.maximum(blue[:, :, 1:], blue[:, :, :-1]) < 0.97
    if np.count_nonzero(free) < 256:
        return None
    across = (steps[:, 0] + steps[:, 1])[free] / 2
    size = float(np.einsum("i,i->", across, across))
    if size <= 1e-6 * across.size:
        return None
    along = steps[:, 2][free]
    return float(np.sqrt(np.einsum("i,i->", along, along) / size))


def _values(pixels: NDArray[Any]) -> Floats:
    """Return stored numbers, integers scaled to 0 to 1."""
    if pixels.dtype.kind == "f":
        return np.asarray(np.clip(pixels, -4.0, 4.0), dtype=np.float32)
    return np.asarray(pixels / np.iinfo(pixels.dtype).max, dtype=np.float32)


def vectors_of(values: NDArray[np.floating], way: Storage) -> Floats:
    """Return vectors: twice the values minus 1, after undoing what was done to them."""
    if way == "signed":
        return values.astype(np.float32)
    for _ in range(2 if way.endswith("_twice") else 1):
        if way.startswith("decode"):
            values = srgb_to_light(values)
        elif way.startswith("encode"):
            values = light_to_srgb(values)
    return np.asarray(2.0 * values - 1.0, dtype=np.float32)


@lru_cache(maxsize=16)
def _table(dtype: str, way: Storage) -> Floats:
    """Return the vector part of each code of an integer type."""
    most = np.iinfo(np.dtype(dtype)).max
    return vectors_of(np.arange(most + 1) / most, way)


def _fit(way: Storage, pixels: NDArray[Any]) -> StorageFit:
    if pixels.dtype.kind == "f":
        x, y, z = vectors_of(_values(pixels), way)
    else:
        x, y, z = _table(pixels.dtype.name, way)[pixels]
    length = np.sqrt(x * x + y * y + z * z)
    return StorageFit(
        storage=way,
        length_error=float(np.median(np.abs(length - 1.0))),
        length_spread=_spread(length),
        depth_spread=_spread(z),
        forward=float(np.mean(z > 0.05)),
        tilt=float(np.hypot(x.mean(dtype=np.float64), y.mean(dtype=np.float64))),
    )


def _shading(values: Floats) -> float | None:
    apart = values - values.mean(axis=1, keepdims=True)
    shared = np.einsum("ip,jp->ij", apart, apart, dtype=np.float64)
    own = np.sqrt(np.diag(shared))
    if own.min() <= 1e-3 * np.sqrt(values.shape[1]):
        return None
    return float((shared[2, :2] / (own[2] * own[:2])).min())


def _spread(values: Floats) -> float:
    low, high = round(0.16 * (values.size - 1)), round(0.84 * (values.size - 1))
    parts = np.partition(values, (low, high))
    return float(parts[high] - parts[low]) / 2


def _dominating(values: Floats) -> float:
    """Return the share of the fullest colour bin; bins are centred on mid-grey."""
    steps = np.clip(np.rint(values * (_BINS - 2)), 0, _BINS - 1).astype(np.int32)
    index = (steps[0] * _BINS + steps[1]) * _BINS + steps[2]
    return int(np.bincount(index).max()) / int(index.size)
