"""The numbers of a picture, or of a box of it, at the size that they are looked at."""

from __future__ import annotations

from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from primecoat import jobs
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.bands import Stored, numbers, stored_bands
from primecoat.report.shown.frame import Frame
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.light import Averaging
from primecoat.report.shown.planes import Planes
from primecoat.report.shown.source import Source

Floats = NDArray[np.float32]
Scalar = TypeVar("Scalar", bound=np.generic)

_SLAB = 1 << 20
"""Numbers that are worked on together: few enough to stay near the processor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """Numbers at the size shown.

    Parameters
    ----------
    values
        Shape (height, width, n), n = 1, 2 or 3: numbers as stored, 8 and 16 bit codes 0 to 1.
        Of several pixels it is their mean, given back in the encoding of the file.
    alpha
        Shape (height, width), averaged as a number; None without alpha.
    greatest
        Shape (height, width): greatest finite number of the pixels that each stands for.
    broken
        Shape (height, width): whether NaN or an infinity is among them; they are in no mean.
    not_finite
        How many pixels of the box are so.
    low, high
        Least and greatest finite number of the box's colour.
    """

    values: Floats
    alpha: Floats | None
    greatest: Floats
    broken: NDArray[np.bool_]
    not_finite: int
    low: float
    high: float

    @property
    def size(self) -> int:
        """Bytes held."""
        held = (self.values, self.greatest, self.broken)
        return sum(one.nbytes for one in held) + (0 if self.alpha is None else self.alpha.nbytes)


def decoded(source: Source, planes: Planes, frame: Frame, mean: Averaging) -> Decoded:
    """Decode what a frame shows; kept until the file changes.

    Memory is that of the shown pixels and a few bands of 16 MiB, however large the picture is.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    key = ("decoded", source.key(), planes, frame, mean if frame.reduced else None)
    return KEPT.get(
        key,
        lambda: in_worker(source.name, _decode, source, planes, frame, mean),
        lambda made: made.size,
    )


def _decode(source: Source, planes: Planes, frame: Frame, mean: Averaging) -> Decoded:
    canvas = _Canvas(planes, frame, mean)
    waiting: deque[Future[_Piece]] = deque()
    threads = jobs.cores()
    with source.opened() as path, ThreadPoolExecutor(threads) as pool:
        for first, band in stored_bands(path, planes, frame.box):
            step = max(1, _SLAB // max(1, band[0].size))
            for start in range(0, len(band), step):
                slab = band[start : start + step]
                waiting.append(pool.submit(canvas.piece, first + start, slab))
                if len(waiting) > threads:  # the reader must not run ahead: memory is bounded
                    canvas.lay(waiting.popleft().result())
        while waiting:
            canvas.lay(waiting.popleft().result())
    return canvas.finished()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    rows: NDArray[np.intp]
    sums: NDArray[np.floating]
    counts: NDArray[np.float64] | None
    alpha: NDArray[np.floating] | None
    greatest: Floats
    broken: NDArray[np.bool_] | None
    not_finite: int
    low: float
    high: float


def _sound(values: Floats) -> NDArray[np.bool_] | None:
    """Return which pixels are finite; None if all are."""
    sound: NDArray[np.bool_] = np.asarray(np.isfinite(values).all(axis=2))
    return None if sound.all() else sound


def _finite(alpha: Floats) -> Floats:
    return np.nan_to_num(alpha, nan=0.0, posinf=1.0, neginf=0.0)


class _Canvas:
    """Bands made small, and put together."""

    def __init__(self, planes: Planes, frame: Frame, mean: Averaging) -> None:
        self.frame, self.mean = frame, mean
        self.colours, self.has_alpha = len(planes.colour), planes.alpha is not None
        kind = np.float64 if frame.reduced else np.float32
        shape = frame.height, frame.width
        self.sums = np.zeros((*shape, self.colours), kind)
        self.counts = np.zeros((*shape, 1), np.float64) if frame.reduced else None
        self.alpha = np.zeros(shape, kind) if self.has_alpha else None
        self.greatest = np.full(shape, -np.inf, np.float32)
        self.broken = np.zeros(shape, np.bool_)
        self.not_finite, self.low, self.high = 0, np.inf, -np.inf
        columns = np.arange(frame.box[2]) * frame.width // frame.box[2]
        self.at_x = np.flatnonzero(np.diff(columns, prepend=-1))
        self.table: Floats | None = None

    def piece(self, first: int, band: Stored) -> _Piece:
        """Make a band small."""
        colour = band[..., : self.colours]
        alpha = numbers(band[..., self.colours]) if self.has_alpha else None
        whole = colour.dtype in (np.uint8, np.uint16)
        values = colour if whole else numbers(colour)
        sound = None if whole else _sound(values)
        if sound is not None:
            values = np.where(sound[..., None], values, np.float32(0))
        counted = values if sound is None else values[sound]
        low, high = (counted.min(), counted.max()) if counted.size else (np.inf, -np.inf)
        least, most = numbers(np.array([low, high], values.dtype if whole else np.float32))
        rows = np.arange(first, first + len(band))
        at_y = None
        if self.frame.reduced:
            rows = rows * self.frame.height // self.frame.box[3]
            at_y = np.flatnonzero(np.diff(rows, prepend=-1))
            rows = rows[at_y]
        return _Piece(
            rows=rows,
            sums=numbers(values) if at_y is None else self._added(self._light(values, sound), at_y),
            counts=None if at_y is None else self._counts(band, sound, at_y),
            alpha=alpha if alpha is None or at_y is None else self._added(_finite(alpha), at_y),
            greatest=numbers(self._highest(values, at_y)).max(axis=2),
            broken=None if sound is None else self._highest(~sound, at_y),
            not_finite=0 if sound is None else int(sound.size - np.count_nonzero(sound)),
            low=float(least),
            high=float(most),
        )

    def _light(self, values: Stored, sound: NDArray[np.bool_] | None) -> Floats:
        if values.dtype.kind != "f":
            if self.table is None:
                self.table = self.mean.table(values.dtype)
            return np.take(self.table, values)
        light = self.mean.to_light(values)
        # one pixel must not fill a block
        light = np.asarray(np.clip(light, -HALF_LARGEST, HALF_LARGEST), np.float32)
        return light if sound is None else np.where(sound[..., None], light, np.float32(0))

    def _counts(
        self, band: Stored, sound: NDArray[np.bool_] | None, at_y: NDArray[np.intp]
    ) -> NDArray[np.float64]:
        if sound is not None:
            return self._added(sound.astype(np.float32), at_y)
        down = np.diff(at_y, append=len(band))
        return np.outer(down, np.diff(self.at_x, append=band.shape[1])).astype(np.float64)

    def _added(self, values: Floats, at_y: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return sums of blocks: first down, which is the quick way through memory."""
        down = np.add.reduceat(values, at_y, axis=0)
        return np.asarray(np.add.reduceat(down, self.at_x, axis=1, dtype=np.float64))

    def _highest(self, values: NDArray[Scalar], at_y: NDArray[np.intp] | None) -> NDArray[Scalar]:
        if at_y is None:
            return values
        down = np.maximum.reduceat(values, at_y, axis=0)
        return np.asarray(np.maximum.reduceat(down, self.at_x, axis=1))

    def lay(self, piece: _Piece) -> None:
        """Put a small band in its place."""
        rows = piece.rows
        self.not_finite += piece.not_finite
        self.low, self.high = min(self.low, piece.low), max(self.high, piece.high)
        self.greatest[rows] = np.maximum(self.greatest[rows], piece.greatest)
        if piece.broken is not None:
            self.broken[rows] |= piece.broken
        if self.counts is None or piece.counts is None:
            self.sums[rows] = piece.sums
        else:
            self.sums[rows] += piece.sums
            self.counts[rows] += piece.counts[..., None]
        if self.alpha is not None and piece.alpha is not None:
            self.alpha[rows] += piece.alpha

    def finished(self) -> Decoded:
        """Return all of it."""
        values, alpha = self.sums, self.alpha
        if self.counts is not None:
            light = values / np.maximum(self.counts, 1.0)
            values = self.mean.to_numbers(np.asarray(light, np.float32))
            if alpha is not None:
                alpha = alpha / self._block_sizes()
        return Decoded(
            values=np.asarray(values, np.float32),
            alpha=None if alpha is None else np.asarray(alpha, np.float32),
            greatest=self.greatest,
            broken=self.broken,
            not_finite=self.not_finite,
            low=self.low if np.isfinite(self.low) else 0.0,
            high=self.high if np.isfinite(self.high) else 0.0,
        )

    def _block_sizes(self) -> NDArray[np.float64]:
        frame = self.frame
        across = np.diff(self.at_x, append=frame.box[2])
        rows = np.arange(frame.box[3]) * frame.height // frame.box[3]
        return np.outer(np.bincount(rows, minlength=frame.height), across).astype(np.float64)
