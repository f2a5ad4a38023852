"""A box of a file decoded in bands of rows, as stored."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.oiio import decode_rows, opened_for_pixels, rows_of_a_band
from primecoat.report.shown.frame import Box
from primecoat.report.shown.planes import Planes

Stored = NDArray[Any]
"""Shape (rows, columns, channels), of the stored type."""


def stored_bands(path: Path, planes: Planes, box: Box) -> Iterator[tuple[int, Stored]]:
    """Decode a box from top to bottom; memory stays near 16 MiB a band.

    Yields
    ------
    tuple
        First row, counted from the box's own, and its pixels: colour first, then alpha if there
        is one; whole numbers are codes, not scaled; colour is not multiplied by alpha.

    Raises
    ------
    ImageError
        If it cannot be decoded, or is neither RGB nor grey.
    """
    begin, after = min(planes.indices), max(planes.indices) + 1
    order = [at - begin for at in planes.indices]
    in_order = order == list(range(after - begin))
    left, top, wide, high = box
    with opened_for_pixels(path, planes.part) as (source, spec, scale):
        count = rows_of_a_band(source, spec)
        kind = str(spec.format)
        for start in range(top // count * count, top + high, count):
            first, end = (
                (start, start + count) if spec.tile_width else (max(start, top), start + count)
            )
            end = min(end, spec.height if spec.tile_width else top + high)
            rows = spec.y + first, spec.y + end
            band = scale.undo(
                decode_rows(source, path, planes.part, spec, rows, (begin, after), kind)
            )
            cut = band[max(0, top - first) : top + high - first, left : left + wide]
            yield max(first, top) - top, cut if in_order else np.ascontiguousarray(cut[..., order])


def numbers(stored: Stored) -> NDArray[np.float32]:
    """Return stored pixels as numbers: 8 and 16 bit codes 0 to 1, all else as it is.

    Examples
    --------
    >>> numbers(np.array([0, 51, 255], np.uint8)).tolist()
    [0.0, 0.20000000298023224, 1.0]
    """
    if stored.dtype in (np.uint8, np.uint16):
        return stored.astype(np.float32) / np.float32(np.iinfo(stored.dtype).max)
    return stored.astype(np.float32)
