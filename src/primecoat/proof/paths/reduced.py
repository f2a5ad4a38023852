"""Pictures made small while they are decoded: light is averaged, not stored codes."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.images import oiio
from primecoat.inventory import ImageRecord
from primecoat.inventory.measure_embedded import embedded_suffix

Floats = NDArray[np.float32]
Turned = Callable[[NDArray[Any]], Floats]

LARGEST_SIDE: Final = 1024
"""Longest side of a picture on a surface, pixels."""

_MOST_PIXELS = 1 << 24
"""Pixels of all pictures of a scene together; more pictures are made smaller."""


def side_for(pictures: int) -> int:
    """Return the longest side that each of so many pictures may have.

    Examples
    --------
    >>> side_for(3), side_for(64)
    (1024, 512)
    """
    side = LARGEST_SIDE
    while side > 64 and pictures * side * side > _MOST_PIXELS:
        side //= 2
    return side


def reduced(record: ImageRecord, side: int, turned: Turned) -> Floats:
    """Decode a picture and make it small.

    Parameters
    ----------
    record
        The image; of several files the first is taken.
    side
        Longest side at most.
    turned
        Makes of a band of stored numbers, shape (rows, width, channels), float32, integers from 0
        to 1, what is to be averaged.

    Raises
    ------
    ImageError
        If it cannot be decoded to the end.
    """
    if record.files:
        return _reduced(record.files[0], side, turned)
    data = record.embedded or b""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"image{embedded_suffix(data, record.media_type)}"
        path.write_bytes(data)
        return _reduced(path, side, turned)


def _reduced(path: Path, side: int, turned: Turned) -> Floats:
    with oiio.opened_for_pixels(path, 0) as (_, spec, _):
        width, height = int(spec.width), int(spec.height)
    scale = min(1.0, side / max(width, height))
    small = max(1, round(height * scale)), max(1, round(width * scale))
    columns = np.arange(width) * small[1] // width
    at_x = np.flatnonzero(np.diff(columns, prepend=-1))
    wide = np.diff(at_x, append=width)
    sums: NDArray[np.float64] | None = None
    counts = np.zeros(small[0])
    for first, band in oiio.read_bands(path, as_float=True):
        made = turned(np.nan_to_num(band, nan=0.0, posinf=65504.0, neginf=0.0))
        if sums is None:
            sums = np.zeros((*small, made.shape[2]))
        rows = np.arange(first, first + len(made)) * small[0] // height
        at_y = np.flatnonzero(np.diff(rows, prepend=-1))
        across = np.add.reduceat(made, at_x, axis=1)
        sums[rows[at_y]] += np.add.reduceat(across, at_y, axis=0, dtype=np.float64)
        counts[rows[at_y]] += np.diff(at_y, append=len(rows))
    assert sums is not None  # a picture has rows
    return np.asarray(sums / (counts[:, None, None] * wide[None, :, None]), np.float32)
