"""Numbers from one stored type to another, the values they stand for kept.

Whole numbers of N bits stand for 0 to 1 (the code divided by 2^N - 1); floats for themselves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.exact_counts import HALF_LARGEST

Rows = NDArray[Any]
"""Shape (rows, width, channels)."""


@dataclass(slots=True)
class Tally:
    """What was met while converting, counted in values (one channel of one pixel).

    Parameters
    ----------
    not_finite
        NaN and infinite colour values; each stays what it was, and touches no other channel. A
        whole number cannot hold them: NaN is stored as 0, infinity as 0 or 1.
    beyond_half
        Colour values beyond 65504.
    below, above
        Values that a whole number cannot hold: below 0, above 1, by more than half a code; they
        were stored as 0 and 1.
    colours, changed, greatest
        Where colour is stored in 8 bits: colours (pixels of a layer), how many of them are
        another 8-bit colour on the way back to the source's reading, and by how many codes in
        one channel at most.
    seen, unreachable, off, worst
        Where a view was turned round: pixels; how many of them the view does not show again
        within half an 8-bit code; by how many codes at most; and the colour that is so.
    residual_mean, residual_p95
        CIEDE2000 between what was wanted and what the view shows, over all pixels.
    """

    not_finite: int = 0
    beyond_half: int = 0
    below: int = 0
    above: int = 0
    colours: int = 0
    changed: int = 0
    greatest: int = 0
    seen: int = 0
    unreachable: int = 0
    off: float = 0.0
    worst: str = ""
    residual_mean: float = 0.0
    residual_p95: float = 0.0


def as_values(rows: Rows) -> NDArray[np.float32]:
    """Return the values of stored numbers.

    Examples
    --------
    >>> as_values(np.array([[[0, 255]]], np.uint8)).tolist()
    [[[0.0, 1.0]]]
    """
    if rows.dtype.kind == "f":
        return rows.astype(np.float32, copy=False)
    most = np.iinfo(rows.dtype).max
    if rows.dtype.itemsize > 2:
        return (rows / np.float64(most)).astype(np.float32)
    return rows.astype(np.float32) / np.float32(most)


def stored(rows: Rows, kind: str, tally: Tally) -> Rows:
    """Return values or codes as numbers of another type.

    Parameters
    ----------
    rows
        Whole numbers (codes) or floats (values).
    kind
        NumPy type of the result.
    tally
        Counts values that a whole number cannot hold.

    Examples
    --------
    >>> stored(np.array([[[0, 128, 255]]], np.uint8), "uint16", Tally()).tolist()
    [[[0, 32896, 65535]]]
    """
    if rows.dtype.name == kind:
        return rows
    if not kind.startswith("uint"):
        return as_values(rows).astype(kind, copy=False)
    most = np.iinfo(kind).max
    if rows.dtype.kind in "iu":
        scaled = rows.clip(0) * (np.float64(most) / np.iinfo(rows.dtype).max)
        codes: Rows = np.floor(scaled + 0.5).astype(kind)
        return codes
    values: Rows = rows.astype(np.float64 if np.dtype(kind).itemsize > 2 else np.float32)
    if not 0 <= values.min(initial=0) <= values.max(initial=0) <= 1:  # also if one is NaN
        half = 0.5 / most  # what rounds to the first or the last code was no farther off
        tally.below += int(np.count_nonzero(values < -half))
        tally.above += int(np.count_nonzero(values > 1 + half))
        values = np.nan_to_num(values, nan=0.0).clip(0, 1)
    values *= most
    values += 0.5
    return values.astype(kind)


def within_half(values: NDArray[np.float32], tally: Tally, *, clamp: bool) -> None:
    """Count finite values beyond the range of half, and clamp them in place if asked to."""
    if np.abs(values).max(initial=0) <= HALF_LARGEST:
        return
    beyond = (np.abs(values) > HALF_LARGEST) & np.isfinite(values)
    tally.beyond_half += int(np.count_nonzero(beyond))
    if clamp:
        values[beyond] = np.copysign(np.float32(HALF_LARGEST), values[beyond])
