"""Bands of rows: two decoders kept in step, whatever rows each gives at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.renders.frame import Frame, Rows, read_bands_with_alpha

BAND_PIXELS = 1 << 18


@dataclass(frozen=True, slots=True)
class Band:
    """Rows of two frames: first row, colour (rows, width, 3), alpha (rows, width) or None."""

    first: int
    a: Rows
    b: Rows
    alpha_a: NDArray[np.float32] | None
    alpha_b: NDArray[np.float32] | None


def rows_of_a_band(width: int, multiple: int = 1) -> int:
    """Return how many rows of a width are worked on together, a multiple of some number.

    Examples
    --------
    >>> rows_of_a_band(4096), rows_of_a_band(4096, 5)
    (64, 60)
    """
    return max(1, BAND_PIXELS // max(1, width) // multiple) * multiple


def bands_together(a: Frame, b: Frame, multiple: int = 1) -> Iterator[Band]:
    """Decode two frames of one size, the same rows of each at a time."""
    rows = rows_of_a_band(a.width, multiple)
    first = 0
    for (one, alpha), (other, other_alpha) in zip(_evened(a, rows), _evened(b, rows), strict=True):
        yield Band(first, one, other, alpha, other_alpha)
        first += one.shape[0]


_Piece = tuple[Rows, NDArray[np.float32] | None]


def _evened(frame: Frame, step: int) -> Iterator[_Piece]:
    held: list[_Piece] = []
    count = 0
    for _, rows, alpha in read_bands_with_alpha(frame):
        held.append((rows, alpha))
        count += rows.shape[0]
        if count < step:
            continue
        rows, alpha = _joined(held)
        ready = count - count % step
        for start in range(0, ready, step):
            end = start + step
            yield rows[start:end], None if alpha is None else alpha[start:end]
        held = [(rows[ready:], None if alpha is None else alpha[ready:])] if ready < count else []
        count -= ready
    if count:
        yield _joined(held)


def _joined(held: list[_Piece]) -> _Piece:
    if len(held) == 1:
        return held[0]
    alphas = [alpha for _, alpha in held if alpha is not None]
    return np.concatenate([rows for rows, _ in held]), np.concatenate(alphas) if alphas else None
