"""Which way a normal map's green points: from whether its slopes are those of one surface.

Slopes of a height field ``h`` are integrable: the curl of its gradient is zero (Frankot and
Chellappa, *A method for enforcing integrability in shape from shading algorithms*, IEEE Trans.
Pattern Analysis and Machine Intelligence 10(4), 1988). With ``p = x/z`` and ``q = y/z`` of the
vectors, rows counted downwards: where green is up (glTF 2.0, section 3.9.3), ``p = -dh/dx`` and
``q = +dh/drow``, so ``dp/drow = -dq/dx``; where green is down, ``dp/drow = +dq/dx``. The wrong
reading leaves twice the curl. Where one of the derivatives is missing (straight grooves, a flat
map) nothing can be told. That red is flipped as well (bumps become dents) cannot be told either.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class GreenDirection:
    """Curl of the slopes under either direction of green.

    Parameters
    ----------
    curl_up, curl_down
        Energy of the curl if green is up, or down, against that of two unrelated slopes: 0 for
        the slopes of a surface, 1 for unrelated ones, 2 at most.
    agreement
        Correlation of the two derivatives: towards -1 for up, towards 1 for down.
    errors
        The same in standard errors, counted over squares of 16 pixels.
    scale
        Pixels that were averaged each way: 1, 2 or 4.
    """

    curl_up: float
    curl_down: float
    agreement: float
    errors: float
    scale: int

    @property
    def green(self) -> Green:
        """The direction, or ``undecided``."""
        if abs(self.errors) < _SURE or abs(self.agreement) < _ALIKE:
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
    found = None
    for scale in (1, 2, 4):
        if scale > 1:
            along, up = _halved(along), _halved(up)
        if min(along.shape[1:]) < 4:
            break
        one = _compare(along, up, scale)
        if one is not None and (found is None or abs(one.errors) > 1.2 * abs(found.errors)):
            found = one
    return found


def _compare(along: Floats, up: Floats, scale: int) -> GreenDirection | None:
    down_along, right_up = _down(along), _right(up)
    first, second = _clipped(down_along), _clipped(right_up)
    a, b = float(np.mean(first * first)), float(np.mean(second * second))
    if min(a, b) < 1e-8:
        return None
    product = _cells(first * second, max(2, _CELL // scale))
    together = float(product.sum())
    spread = math.sqrt(float(np.einsum("i,i->", product, product)))
    shared = together / first.size
    return GreenDirection(
        curl_up=1.0 + 2.0 * shared / (a + b),
        curl_down=1.0 - 2.0 * shared / (a + b),
        agreement=shared / math.sqrt(a * b),
        errors=together / spread if spread > 0 else 0.0,
        scale=scale,
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
