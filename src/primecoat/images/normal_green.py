"""Which way a normal map's green points: from whether its slopes are those of one surface.

Slopes of a height field ``h`` are integrable: the curl of its gradient is zero (Frankot and
Chellappa, *A method for enforcing integrability in shape from shading algorithms*, IEEE Trans.
Pattern Analysis and Machine Intelligence 10(4), 1988). With ``p = x/z`` and ``q = y/z`` of the
vectors, rows counted downwards: where green is up (glTF 2.0, section 3.9.3), ``p = -dh/dx`` and
``q = +dh/drow``, so ``dp/drow = -dq/dx``; where green is down, ``dp/drow = +dq/dx``. The wrong
reading leaves curl in general. Where one of the derivatives is missing (straight grooves, a flat
map) nothing can be told. Red that is flipped instead of green gives the same sign, as the same
surface seen from behind does; red flipped as well (bumps become dents) cannot be told at all.

Islands of a texture sheet may be turned any way: their vectors are in the sheet's directions, so
that all share one sign. Steps from one island to the next are of either sign; padding that is no
vector is left out, and the squares have to agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Green = Literal["up", "down", "undecided"]

_CELL = 16
"""Side of the squares that count as independent of one another."""

_ALIKE = 0.12
"""Least correlation of the two derivatives from which the sign counts."""

_SURE = 4.5
"""Least number of standard errors from which it counts."""

_MOST = 0.75
"""Least share of the squares that must side with the whole."""

_TELLS = 0.2
"""Correlation from which a square takes a side."""

_PADDING_SPREAD = 0.1
"""So near to their median are pixels that are no vectors where they are padding in one colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GreenDirection:
    """Which direction of green makes the slopes those of one surface.

    Parameters
    ----------
    agreement
        Correlation of the two derivatives: -1 where all slopes are integrable with green up, 1
        where they are with green down, 0 for unrelated ones.
    errors
        The same in standard errors, counted over squares of 16 pixels.
    same_side
        Share of the squares that tell anything by themselves and side with the whole, 0 to 1. The
        islands of a texture sheet, whatever way they are turned, share one direction.
    """

    agreement: float
    errors: float
    same_side: float

    @property
    def green(self) -> Green:
        """The direction, or ``undecided``."""
        if abs(self.errors) < _SURE or abs(self.agreement) < _ALIKE:
            return "undecided"
        if self.same_side < _MOST:
            return "undecided"
        return "down" if self.agreement > 0 else "up"

    @property
    def strength(self) -> float:
        """Natural log of the likelihood ratio for the direction, 12 at most; 0 if undecided.

        The standard errors are halved, as neighbouring squares are not quite independent.
        """
        if self.green == "undecided":
            return 0.0
        wrong = 0.5 * math.erfc(abs(self.errors) / 2 / math.sqrt(2.0))
        return min(12.0, math.log((1.0 - wrong) / max(wrong, 1e-12)))


def find_green(vectors: Floats) -> GreenDirection | None:
    """Compare the derivatives of the slopes in windows of vectors.

    Parameters
    ----------
    vectors
        Shape (windows, 2 or 3, height, width): x, y and z, from -1 to 1. Without z it is derived
        from unit length.

    Returns
    -------
    GreenDirection or None
        None where both slopes do not vary.
    """
    x, y = vectors[:, 0], vectors[:, 1]
    z = vectors[:, 2] if vectors.shape[1] > 2 else np.sqrt(np.maximum(0.0, 1.0 - x * x - y * y))
    depth = np.maximum(z, np.float32(0.25))
    along = np.asarray(x / depth, dtype=np.float32)
    up = np.asarray(y / depth, dtype=np.float32)
    counts = _no_padding(vectors) if vectors.shape[1] > 2 else np.ones_like(along)
    found = None
    for scale in (1, 2, 4):
        if scale > 1:
            along, up = _halved(along), _halved(up)
            counts = np.floor(_halved(counts))
        if min(along.shape[1:]) < 4:
            break
        one = _compare(along, up, counts, max(2, _CELL // scale))
        if one is not None and (found is None or abs(one.errors) > 1.2 * abs(found.errors)):
            found = one
    return found


def _no_padding(vectors: Floats) -> Floats:
    """Return 0 for what lies between the islands of a texture sheet, else 1.

    Padding in black, white or grey is no vector, and a step at a slanting edge to it looks like
    slopes of one side.
    """
    length = np.sqrt(np.einsum("wchv,wchv->whv", vectors, vectors))
    wrong = (vectors[:, 2] <= 0.05) | (np.abs(length - 1.0) > 0.5)
    between = vectors.transpose(1, 0, 2, 3)[:, wrong]
    if not between.size:
        return np.ones_like(length)
    off = np.abs(between - np.median(between, axis=1, keepdims=True)).max(axis=0)
    if float(np.mean(off < _PADDING_SPREAD)) < _MOST:
        return np.ones_like(length)
    return np.asarray(~_widened(wrong), dtype=np.float32)


def _widened(flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which pixels have a flag within two pixels of them."""
    wide = np.array(flags)
    for step in (1, 2):
        wide[:, step:] |= flags[:, :-step]
        wide[:, :-step] |= flags[:, step:]
    rows = wide.copy()
    for step in (1, 2):
        wide[:, :, step:] |= rows[:, :, :-step]
        wide[:, :, :-step] |= rows[:, :, step:]
    return wide


def _compare(along: Floats, up: Floats, counts: Floats, side: int) -> GreenDirection | None:
    all_four = (_down(counts) == 0) & (_right(counts) == 0) & (counts[:, 1:, 1:] > 0)
    kept = np.asarray(all_four, dtype=np.float32)
    first, second = _clipped(_down(along) * kept), _clipped(_right(up) * kept)
    a, b = float(np.mean(first * first)), float(np.mean(second * second))
    if min(a, b) < 1e-8:
        return None
    product = _cells(first * second, side)
    together = float(product.sum())
    spread = math.sqrt(float(np.einsum("i,i->", product, product)))
    own = np.sqrt(_cells(first * first, side) * _cells(second * second, side))
    telling = (own > 0.05 * own.mean()) & (np.abs(product) > _TELLS * own)
    siding = int(np.count_nonzero(telling & (np.sign(product) == np.sign(together))))
    return GreenDirection(
        agreement=together / first.size / math.sqrt(a * b),
        errors=together / spread if spread > 0 else 0.0,
        same_side=siding / max(1, int(np.count_nonzero(telling))),
    )


def _down(field: Floats) -> Floats:
    """Differentiate down the rows, at the middles between four pixels."""
    steps = (field[:, 1:, 1:] + field[:, 1:, :-1] - field[:, :-1, 1:] - field[:, :-1, :-1]) / 2
    return np.asarray(steps, dtype=np.float32)


def _right(field: Floats) -> Floats:
    """Differentiate along the columns, at the middles between four pixels."""
    steps = (field[:, 1:, 1:] - field[:, 1:, :-1] + field[:, :-1, 1:] - field[:, :-1, :-1]) / 2
    return np.asarray(steps, dtype=np.float32)


def _clipped(field: Floats) -> Floats:
    """Keep a few sharp edges from outvoting all the rest."""
    limit = np.float32(6.0) * np.float32(np.sqrt(np.mean(field * field)))
    return np.clip(field, -limit, limit)


def _halved(field: Floats) -> Floats:
    rows, columns = field.shape[1] // 2 * 2, field.shape[2] // 2 * 2
    even = field[:, :rows, :columns]
    return np.asarray(
        (even[:, ::2, ::2] + even[:, ::2, 1::2] + even[:, 1::2, ::2] + even[:, 1::2, 1::2]) / 4,
        dtype=np.float32,
    )


def _cells(field: Floats, side: int) -> NDArray[np.float64]:
    """Sum squares of pixels."""
    rows = np.add.reduceat(field, np.arange(0, field.shape[1], side), axis=1)
    both = np.add.reduceat(rows, np.arange(0, field.shape[2], side), axis=2)
    return both.astype(np.float64).reshape(-1)
