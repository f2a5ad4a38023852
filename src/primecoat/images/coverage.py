"""How much of a picture is empty: black, one flat colour, a frame round it.

Texture sheets leave the space between their islands in one colour; an environment or a photograph
has no such space. Measured, not judged: a mask is mostly one value too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """Shares of the even sample.

    Parameters
    ----------
    black
        Share of pixels with 0 in all colour channels.
    commonest
        Share of pixels that hold exactly the commonest colour.
    commonest_colour
        That colour, as stored, integers scaled to 0 to 1.
    border
        Share of the outermost sampled pixels that hold exactly that colour.
    border_black
        Share of them that are black.
    """

    black: float
    commonest: float
    commonest_colour: tuple[float, ...]
    border: float
    border_black: float


def measure_coverage(values: NDArray[Any], rows: int, columns: int) -> Coverage | None:
    """Measure the colour channels of an even sample.

    Parameters
    ----------
    values
        Shape (channels, rows * columns): codes, or float32; NaN counts as a colour of its own.
    rows, columns
        Size of the sampled grid.
    """
    if not values.size:
        return None
    black = (values == 0).all(axis=0)
    key = np.zeros(values.shape[1], dtype=np.uint64)
    for row in values:  # exact for 8 and 16 bits, a hash for floats
        bits = row.view(np.uint32) if row.dtype == np.float32 else row
        key = key * np.uint64(0x100000001B3 if row.dtype == np.float32 else 65536)
        key = key + bits.astype(np.uint64)
    step = max(1, key.size // 16384)
    found, first, counts = np.unique(key[::step], return_index=True, return_counts=True)
    at = int(counts.argmax())
    same = (key == found[at]).reshape(rows, columns)
    most = float(np.iinfo(values.dtype).max) if values.dtype.kind == "u" else 1.0
    colour = values[:, int(first[at]) * step].astype(np.float64) / most
    return Coverage(
        black=float(black.mean()),
        commonest=float(same.mean()),
        commonest_colour=tuple(float(c) if np.isfinite(c) else 0.0 for c in colour),
        border=_border(same),
        border_black=_border(black.reshape(rows, columns)),
    )


def _border(flags: NDArray[np.bool_]) -> float:
    edge = np.concatenate([flags[0], flags[-1], flags[:, 0], flags[:, -1]])
    return float(edge.mean())
