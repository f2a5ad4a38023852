"""What the pictures of a comparison are drawn from: two pictures made small, and their difference.

A block of pixels becomes one: its mean for what is seen, its greatest difference, and its mean
difference of exposure. A picture up to :data:`GREATEST` wide and high keeps every pixel.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

GREATEST = 960
"""Greatest width and height of a picture made small."""


def block_of(width: int, height: int) -> int:
    """Return the side of the blocks that a picture is made small by.

    Examples
    --------
    >>> block_of(640, 480), block_of(4096, 2160)
    (1, 5)
    """
    return max(1, -(-width // GREATEST), -(-height // GREATEST))


@dataclass(frozen=True, slots=True)
class Canvas:
    """Two pictures made small.

    Parameters
    ----------
    codes_a, codes_b
        Display codes, shape (height, width, 3).
    difference
        Greatest CIEDE2000 of each block, shape (height, width).
    stops
        Mean exposure difference of each block, log2 of luminance; NaN where there is no light.
    waves_a, waves_b
        How often each code (0 to 255) is met in each column, shape (3, 256, width).
    block
        Side of a block.
    """

    codes_a: Floats
    codes_b: Floats
    difference: Floats
    stops: Floats
    waves_a: NDArray[np.int64]
    waves_b: NDArray[np.int64]
    block: int


def small_band(
    codes_a: Floats, codes_b: Floats, difference: Floats, stops: Floats, block: int
) -> Canvas:
    """Return a band of rows made small.

    Parameters
    ----------
    codes_a, codes_b
        Shape (rows, width, 3).
    difference, stops
        Shape (rows, width).
    block
        Side of a block; rows are a multiple of it but at the lower edge.
    """
    return Canvas(
        codes_a=_means(codes_a, block),
        codes_b=_means(codes_b, block),
        difference=_reduced(np.maximum, difference, block),
        stops=_mean_of_known(stops, block),
        waves_a=_waves(codes_a, block),
        waves_b=_waves(codes_b, block),
        block=block,
    )


def stacked(bands: list[Canvas]) -> Canvas:
    """Return bands put together, from top to bottom."""
    return Canvas(
        codes_a=np.concatenate([band.codes_a for band in bands]),
        codes_b=np.concatenate([band.codes_b for band in bands]),
        difference=np.concatenate([band.difference for band in bands]),
        stops=np.concatenate([band.stops for band in bands]),
        waves_a=np.sum([band.waves_a for band in bands], axis=0),
        waves_b=np.sum([band.waves_b for band in bands], axis=0),
        block=bands[0].block,
    )


def _reduced(ufunc: np.ufunc, values: Floats, block: int) -> Floats:
    if block == 1:
        return values
    rows = ufunc.reduceat(values, np.arange(0, values.shape[0], block), axis=0)
    return np.asarray(ufunc.reduceat(rows, np.arange(0, values.shape[1], block), axis=1))


def _means(values: Floats, block: int) -> Floats:
    if block == 1:
        return values
    count = _reduced(np.add, np.ones(values.shape[:2], np.float32), block)
    return np.asarray(_reduced(np.add, values, block) / count[..., None], np.float32)


def _mean_of_known(values: Floats, block: int) -> Floats:
    known = np.isfinite(values)
    count = _reduced(np.add, known.astype(np.float32), block)
    total = _reduced(np.add, np.where(known, values, np.float32(0)), block)
    with np.errstate(invalid="ignore"):
        return np.asarray(total / np.where(count > 0, count, np.nan), np.float32)


def _waves(codes: Floats, block: int) -> NDArray[np.int64]:
    rows, width, _ = codes.shape
    columns = -(-width // block)
    levels = np.clip(codes * 255 + np.float32(0.5), 0, 255).astype(np.int32)
    column = np.broadcast_to((np.arange(width, dtype=np.int32) // block), (rows, width))
    return np.stack(
        [
            np.bincount(
                (levels[..., channel] * columns + column).ravel(), minlength=256 * columns
            ).reshape(256, columns)
            for channel in range(3)
        ]
    ).astype(np.int64)
