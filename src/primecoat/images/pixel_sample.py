"""One pass over a picture: an even sample, windows of neighbours and, for floats, exact counts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images import oiio
from primecoat.images.exact_counts import ExactCounts, count_exactly, join_counts

_MOST = 256 * 1024
_LEAST = 64 * 1024
_SHARE = 32

WINDOW = 64
"""Side of a window in pixels: a multiple of the 8 x 8 blocks of JPEG."""

_WINDOWS = 4
"""Windows in a row and in a column, at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PixelSample:
    """What one pass gathers.

    Parameters
    ----------
    values
        Shape (channels, pixels): codes as stored (uint8, uint16), else float32. They are a grid
        of :attr:`rows` x :attr:`columns` pixels, a fixed step apart both ways.
    rows, columns
        Size of that grid.
    windows
        Shape (windows, channels, height, width): squares of neighbouring pixels, evenly spread,
        each beginning at a multiple of 8 pixels; of the channels that were asked for.
    exact
        Exact facts for each channel of a float type, else empty.
    """

    values: NDArray[Any]
    rows: int
    columns: int
    windows: NDArray[Any]
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


def window_starts(length: int) -> tuple[int, ...]:
    """Return where the windows along one side begin: multiples of 8, without overlap.

    Examples
    --------
    >>> window_starts(50), window_starts(128), window_starts(4096)
    ((0,), (0, 64), (0, 1344, 2688, 4032))
    """
    count = max(1, min(_WINDOWS, length // WINDOW))
    last = max(0, length - WINDOW)
    return tuple(int(at * last / max(1, count - 1)) // 8 * 8 for at in range(count))


def gather(
    path: Path, width: int, height: int, *, codes: bool, near: Sequence[int] = ()
) -> PixelSample:
    """Decode a picture once, from top to bottom.

    Parameters
    ----------
    path
        The file.
    width, height
        Its size in pixels.
    codes
        Keep stored codes (uint8, uint16) and sample only; else read float32 and count exactly.
    near
        Channels of which windows are kept.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    step = stride(width, height)
    kept: list[NDArray[Any]] = []
    exact: tuple[ExactCounts, ...] = ()
    windows: NDArray[Any] | None = None
    for first, band in oiio.read_bands(path, as_float=not codes):
        kept.append(band[-first % step :: step, ::step].copy())
        if windows is None:
            windows = _room(width, height, len(near), band.dtype)
        _fill(windows, band, first, width, height, near)
        if not codes:
            counts = []
            for channel in range(band.shape[2]):
                counts.append(count_exactly(np.ascontiguousarray(band[..., channel]), first))
            exact = tuple(map(join_counts, exact, counts)) if exact else tuple(counts)
        del band
    grid = np.concatenate(kept)
    if windows is None:
        windows = _room(width, height, len(near), grid.dtype)
    return PixelSample(
        values=np.ascontiguousarray(grid.reshape(-1, grid.shape[2]).T),
        rows=grid.shape[0],
        columns=grid.shape[1],
        windows=windows,
        exact=exact,
    )


def _room(width: int, height: int, channels: int, dtype: np.dtype[Any]) -> NDArray[Any]:
    count = len(window_starts(width)) * len(window_starts(height))
    return np.zeros((count, channels, min(WINDOW, height), min(WINDOW, width)), dtype=dtype)


def _fill(
    windows: NDArray[Any],
    band: NDArray[Any],
    first: int,
    width: int,
    height: int,
    near: Sequence[int],
) -> None:
    """Copy those parts of the windows that a band holds."""
    end = first + len(band)
    rows, columns = windows.shape[2:]
    number = 0
    for top in window_starts(height):
        begin, stop = max(top, first), min(top + rows, end)
        for left in window_starts(width):
            if begin < stop:
                part = band[begin - first : stop - first, left : left + columns]
                for at, channel in enumerate(near):
                    windows[number, at, begin - top : stop - top] = part[..., channel]
            number += 1
