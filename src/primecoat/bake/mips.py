"""Smaller levels of a picture, made from the whole one as it passes by, in bounded memory.

Level k + 1 is a box filter over level k: each of its pixels is the mean of the area it covers,
also where the size is odd (Williams 1983, *Pyramidal parametrics*, with the weights of odd sizes
from Guthe and Heckbert 2005, *Non-power-of-two mipmapping*). Levels lie in a scratch file, so
that memory holds a few rows of each. What is not finite has no weight, so that one NaN does not
spoil the whole picture's last level.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float32]

_BAND_ROWS = 64


class Pyramid:
    """Levels below the first, filtered in the space of the values that are put in.

    Parameters
    ----------
    scratch
        Folder for the scratch files; they are removed with it.
    sizes
        Width and height of every level, the whole picture first.
    channels
        Number of channels.
    """

    def __init__(self, scratch: Path, sizes: tuple[tuple[int, int], ...], channels: int) -> None:
        self._sizes = sizes
        self._levels = [
            _RowFile(scratch / f"level-{number}", (height, width, channels))
            for number, (width, height) in enumerate(sizes[1:], start=1)
        ]
        self._held: list[Values] = []
        self._held_from = 0
        self._made = 0

    def put(self, rows: Values) -> None:
        """Take the next rows of the whole picture."""
        if not self._levels:
            return
        self._held.append(across(rows, self._sizes[1][0]))
        self._make_rows()

    def level(self, number: int) -> Iterator[Values]:
        """Yield a level's rows from top to bottom, once the level above has passed."""
        own = self._levels[number - 1]
        if number > 1:
            self._shrink(self._levels[number - 2], own)
        for first in range(0, own.shape[0], _BAND_ROWS):
            yield own.read(first, min(own.shape[0], first + _BAND_ROWS))

    def _make_rows(self) -> None:
        """Write each row of level 1 for which all rows above it are there."""
        full, height = self._sizes[0][1], self._sizes[1][1]
        rows = self._held[0] if len(self._held) == 1 else np.concatenate(self._held)
        end = self._held_from + rows.shape[0]
        while self._made < height:
            last = min(height, self._made + _BAND_ROWS)
            while last > self._made and spans(full, height, last - 1)[1] > end:
                last -= 1
            if last == self._made:
                break
            wanted = range(self._made, last)
            self._levels[0].append(down(rows, self._held_from, full, height, wanted))
            self._made = last
        keep = spans(full, height, self._made)[0] if self._made < height else end
        self._held = [rows[keep - self._held_from :]]
        self._held_from = keep

    def _shrink(self, above: _RowFile, own: _RowFile) -> None:
        full, height, width = above.shape[0], own.shape[0], own.shape[1]
        for first in range(0, height, _BAND_ROWS):
            wanted = range(first, min(height, first + _BAND_ROWS))
            top, bottom = spans(full, height, first)[0], spans(full, height, wanted[-1])[1]
            own.append(down(across(above.read(top, bottom), width), top, full, height, wanted))


class _RowFile:
    """Rows of float32 in a file, written from top to bottom; nothing of it stays in memory."""

    def __init__(self, path: Path, shape: tuple[int, int, int]) -> None:
        self.shape = shape
        self._path = path
        path.touch()

    def append(self, rows: Values) -> None:
        with self._path.open("ab") as file:
            file.write(np.ascontiguousarray(rows, np.float32).data)

    def read(self, first: int, end: int) -> Values:
        _, width, channels = self.shape
        count = (end - first) * width * channels
        with self._path.open("rb") as file:
            rows = np.fromfile(file, np.float32, count, offset=first * width * channels * 4)
        return rows.reshape(end - first, width, channels)


def spans(full: int, small: int, place: int) -> tuple[int, int]:
    """Return the first and the end of the places that one place of a smaller level covers.

    Examples
    --------
    >>> [spans(5, 2, place) for place in (0, 1)]
    [(0, 3), (2, 5)]
    """
    return place * full // small, -(-(place + 1) * full // small)


def weights(full: int, small: int, place: int) -> NDArray[np.float32]:
    """Return the share of each covered place in one place of a smaller level; they sum to 1.

    Examples
    --------
    >>> [round(float(share), 3) for share in weights(5, 2, 0)]
    [0.4, 0.4, 0.2]
    """
    first, end = spans(full, small, place)
    low, high = place * full / small, (place + 1) * full / small
    covered = [min(high, at + 1) - max(low, at) for at in range(first, end)]
    return np.asarray(covered, np.float32) * np.float32(small / full)


def across(rows: Values, width: int) -> Values:
    """Return rows made narrower by the box filter; shape (rows, width, channels)."""
    full = rows.shape[1]
    if full == width:
        return rows
    if not np.isfinite(rows).all():
        return _of_finite(rows, lambda those: across(those, width))
    if full == 2 * width:
        return (rows[:, 0::2] + rows[:, 1::2]) * np.float32(0.5)
    turned = _weighted(np.moveaxis(rows, 1, 0), 0, full, width, range(width))
    return np.moveaxis(turned, 0, 1)


def down(rows: Values, top: int, full: int, height: int, wanted: range) -> Values:
    """Return some rows of a lower level.

    Parameters
    ----------
    rows
        Rows of the level above, from row ``top`` on, already as narrow as the lower level.
    full, height
        Heights of the two levels.
    wanted
        Rows of the lower level.
    """
    if full == height:
        return rows[wanted.start - top : wanted.stop - top]
    if not np.isfinite(rows).all():
        return _of_finite(rows, lambda those: down(those, top, full, height, wanted))
    if full == 2 * height:
        first = 2 * wanted.start - top
        both = rows[first : first + 2 * len(wanted)]
        return (both[0::2] + both[1::2]) * np.float32(0.5)
    return _weighted(rows, top, full, height, wanted)


def _of_finite(rows: Values, shrunk: Callable[[Values], Values]) -> Values:
    """Return a smaller level: means of what is finite, NaN where nothing is."""
    finite = np.isfinite(rows)
    total, share = shrunk(np.where(finite, rows, np.float32(0))), shrunk(finite.astype(np.float32))
    none = share == 0
    means: Values = np.asarray(total / np.where(none, np.float32(1), share), np.float32)
    means[none] = np.nan
    return means


def _weighted(rows: Values, top: int, full: int, small: int, wanted: range) -> Values:
    out = np.empty((len(wanted), *rows.shape[1:]), np.float32)
    for index, place in enumerate(wanted):
        first, end = spans(full, small, place)
        shares = weights(full, small, place)
        np.einsum("i,i...->...", shares, rows[first - top : end - top], out=out[index])
    return out
