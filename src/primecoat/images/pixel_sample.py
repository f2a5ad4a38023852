"""One pass over a picture: an even sample of its pixels and, for float types, exact counts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images import oiio

_MOST = 256 * 1024
_LEAST = 64 * 1024
_SHARE = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class ExactCounts:
    """Facts of one float channel over all its pixels; extremes and sums are of finite ones."""

    pixels: int
    finite: int
    nan: int
    infinite: int
    negative: int
    above_one: int
    minimum: float
    maximum: float
    at_maximum: int
    total: float
    total_squares: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PixelSample:
    """What one pass gathers.

    Parameters
    ----------
    values
        Shape (channels, pixels): codes as stored (uint8, uint16), else float32.
    exact
        Exact facts for each channel of a float type, else empty.
    """

    values: NDArray[Any]
    exact: tuple[ExactCounts, ...]


def stride(width: int, height: int) -> int:
    """Return the step between sampled rows and columns.

    It is odd, so that patterns with a period of a power of two are met in all their phases.

    Examples
    --------
    >>> stride(200, 200), stride(2048, 2048), stride(4096, 4096)
    (1, 7, 9)
    """
    pixels = width * height
    wanted = min(_MOST, max(_LEAST, pixels // _SHARE))
    step = math.ceil(math.sqrt(pixels / wanted)) if pixels > wanted else 1
    return step + 1 - step % 2


def gather(path: Path, width: int, height: int, *, codes: bool) -> PixelSample:
    """Decode a picture once, from top to bottom.

    Parameters
    ----------
    path
        The file.
    width, height
        Its size in pixels.
    codes
        Keep stored codes (uint8, uint16) and sample only; else read float32 and count exactly.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    step = stride(width, height)
    kept: list[NDArray[Any]] = []
    exact: tuple[ExactCounts, ...] = ()
    for first, band in oiio.read_bands(path, as_float=not codes):
        sampled = band[-first % step :: step, ::step]
        kept.append(sampled.reshape(-1, band.shape[2]))
        if not codes:
            columns = np.ascontiguousarray(band.reshape(-1, band.shape[2]).T)
            counts = tuple(_count(column) for column in columns)
            exact = tuple(map(_join, exact, counts)) if exact else counts
    return PixelSample(values=np.ascontiguousarray(np.concatenate(kept).T), exact=exact)


def _count(column: NDArray[np.float32]) -> ExactCounts:
    sound, nan, infinite = column, 0, 0
    low, high = float(column.min()), float(column.max())  # NaN comes through both
    if not (math.isfinite(low) and math.isfinite(high)):
        nan = int(np.count_nonzero(np.isnan(column)))
        sound = column[np.isfinite(column)]
        infinite = column.size - nan - sound.size
        low = float(sound.min()) if sound.size else math.inf
        high = float(sound.max()) if sound.size else -math.inf
    wide = sound.astype(np.float64)
    return ExactCounts(
        pixels=column.size,
        finite=sound.size,
        nan=nan,
        infinite=infinite,
        negative=int(np.count_nonzero(sound < 0.0)) if low < 0.0 else 0,
        above_one=int(np.count_nonzero(sound > 1.0)) if high > 1.0 else 0,
        minimum=low,
        maximum=high,
        at_maximum=int(np.count_nonzero(sound == np.float32(high))),
        total=float(wide.sum()),
        total_squares=float(np.einsum("i,i->", wide, wide)),
    )


def _join(a: ExactCounts, b: ExactCounts) -> ExactCounts:
    maximum = max(a.maximum, b.maximum)
    return ExactCounts(
        pixels=a.pixels + b.pixels,
        finite=a.finite + b.finite,
        nan=a.nan + b.nan,
        infinite=a.infinite + b.infinite,
        negative=a.negative + b.negative,
        above_one=a.above_one + b.above_one,
        minimum=min(a.minimum, b.minimum),
        maximum=maximum,
        at_maximum=sum(part.at_maximum for part in (a, b) if part.maximum == maximum),
        total=a.total + b.total,
        total_squares=a.total_squares + b.total_squares,
    )
