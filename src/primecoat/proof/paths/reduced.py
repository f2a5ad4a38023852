"""Pictures made small while they are decoded: light is averaged, not stored codes."""

from __future__ import annotations

import re
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

MOST_TILES: Final = 400
"""Tiles that are put together; of more, the first alone is taken."""

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


def tiles_of(record: ImageRecord) -> dict[tuple[int, int], Path]:
    """Return the files of an image in tiles, by column and row from 0, row 0 the lowest.

    Empty for an image that is no set of tiles, or whose tiles are one file. A number 1001 + u + 10
    v, or ``u1_v1`` and up, tells the tile (:mod:`primecoat.scenes.placeholders`).
    """
    found = {}
    for word, number in (("<UDIM>", _by_number), ("<UVTILE>", _by_place)):
        before, placed, after = record.name.partition(word)
        for file in record.files if placed else ():
            told = number(file.name[len(before) : len(file.name) - len(after)])
            if told is not None:
                found[told] = file
    return found


def _by_number(text: str) -> tuple[int, int] | None:
    number = int(text) - 1001 if text.isdigit() else -1
    return (number % 10, number // 10) if number >= 0 else None


def _by_place(text: str) -> tuple[int, int] | None:
    match = re.fullmatch(r"u(\d+)_v(\d+)", text)
    return (int(match[1]) - 1, int(match[2]) - 1) if match else None


def grid_of(record: ImageRecord) -> tuple[int, int]:
    """Return how many tiles an image has across and up; (1, 1) for one that is not in tiles."""
    tiles = tiles_of(record)
    wide = 1 + max((column for column, _ in tiles), default=0)
    high = 1 + max((row for _, row in tiles), default=0)
    return (wide, high) if wide * high <= MOST_TILES else (1, 1)


def reduced(record: ImageRecord, side: int, turned: Turned) -> Floats:
    """Decode a picture and make it small.

    Parameters
    ----------
    record
        The image. Tiles are put together, as :func:`grid_of` says; where one is missing the first
        stands. Of other sets of files the first is taken.
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
    wide, high = grid_of(record)
    if wide * high > 1:
        return _together(tiles_of(record), (wide, high), side, turned)
    if record.files:
        return _reduced(record.files[0], side, turned)
    data = record.embedded or b""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"image{embedded_suffix(data, record.media_type)}"
        path.write_bytes(data)
        return _reduced(path, side, turned)


def _together(
    tiles: dict[tuple[int, int], Path], grid: tuple[int, int], side: int, turned: Turned
) -> Floats:
    """Return all tiles as one picture; each has the size of the first."""
    least = max(16, side // max(grid))
    made = {at: _reduced(path, least, turned) for at, path in sorted(tiles.items())}
    first = next(iter(made.values()))
    rows = [
        [_sized(made.get((column, row), first), first.shape) for column in range(grid[0])]
        for row in reversed(range(grid[1]))
    ]
    return np.concatenate([np.concatenate(row, axis=1) for row in rows], axis=0)


def _sized(picture: Floats, shape: tuple[int, ...]) -> Floats:
    """Return a picture at another size, by its nearest pixels."""
    if picture.shape == shape:
        return picture
    rows = np.arange(shape[0]) * picture.shape[0] // shape[0]
    columns = np.arange(shape[1]) * picture.shape[1] // shape[1]
    return np.ascontiguousarray(picture[rows][:, columns])


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
