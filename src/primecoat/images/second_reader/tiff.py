"""Rows of TIFF files of one page in strips, stored plain or deflated, 8 or 16 bits.

Source: TIFF 6.0, 2 (structure) and 14 (differencing predictor); Adobe Photoshop TIFF Technical
Notes (deflate, compression 8).
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import ImageError

_SIZES = {1: 1, 2: 1, 3: 2, 4: 4}
_LETTERS = {1: "B", 2: "B", 3: "H", 4: "I"}

_WIDTH, _HEIGHT, _BITS, _COMPRESSION, _PHOTOMETRIC = 256, 257, 258, 259, 262
_PLACES, _SAMPLES, _ROWS_PER_STRIP, _LENGTHS, _PLANES = 273, 277, 278, 279, 284
_PREDICTOR, _SAMPLE_FORMAT = 317, 339


def tiff_rows(path: Path) -> Iterator[NDArray[Any]] | None:
    """Return rows of shape (rows, width, channels), uint8 or uint16, or None for another layout."""
    with path.open("rb") as stream:
        head = stream.read(8)
        if head[:4] != b"II*\0":
            return None
        (place,) = struct.unpack("<I", head[4:])
        tags = _tags(path, place)
    bits = set(tags.get(_BITS, ()))
    known = (
        len(bits) == 1
        and bits <= {8, 16}
        and tags.get(_PHOTOMETRIC) == (2,)
        and tags.get(_PLANES, (1,)) == (1,)
        and set(tags.get(_SAMPLE_FORMAT, (1,))) == {1}
        and tags.get(_COMPRESSION, (1,))[0] in (1, 8)
        and tags.get(_PREDICTOR, (1,))[0] in (1, 2)
        and {_WIDTH, _HEIGHT, _PLACES, _LENGTHS, _SAMPLES} <= tags.keys()
    )
    return _rows(path, tags, bits.pop()) if known else None


def _rows(path: Path, tags: dict[int, tuple[int, ...]], bits: int) -> Iterator[NDArray[Any]]:
    width, height, channels = tags[_WIDTH][0], tags[_HEIGHT][0], tags[_SAMPLES][0]
    step = min(tags.get(_ROWS_PER_STRIP, (height,))[0], height)
    kind = np.dtype("uint8" if bits == 8 else "<u2")
    done = 0
    with path.open("rb") as stream:
        for place, length in zip(tags[_PLACES], tags[_LENGTHS], strict=True):
            stream.seek(place)
            data = stream.read(length)
            if tags.get(_COMPRESSION, (1,))[0] == 8:
                try:
                    data = zlib.decompress(data)
                except zlib.error as error:
                    raise ImageError(f"Cannot read {path}: {error}.", "Write it again.") from error
            rows = min(step, height - done)
            if len(data) != rows * width * channels * kind.itemsize:
                raise ImageError(f"Cannot read {path}: a strip is damaged.", "Write it again.")
            codes = np.frombuffer(data, kind).reshape(rows, width, channels)
            if tags.get(_PREDICTOR, (1,))[0] == 2:
                codes = np.cumsum(codes, axis=1, dtype=codes.dtype)
            yield codes.astype(kind.newbyteorder("="), copy=False)
            done += rows
    if done != height:
        raise ImageError(f"Cannot read {path} to its end: rows are missing.", "Write it again.")


def _tags(path: Path, place: int) -> dict[int, tuple[int, ...]]:
    """Return the whole numbers of the first directory."""
    found: dict[int, tuple[int, ...]] = {}
    with path.open("rb") as stream:
        stream.seek(place)
        (count,) = struct.unpack("<H", stream.read(2))
        entries = stream.read(12 * count)
        for tag, kind, number, value in struct.iter_unpack("<HHI4s", entries):
            if kind not in (3, 4):
                continue
            size = number * _SIZES[kind]
            if size > 4:
                stream.seek(struct.unpack("<I", value)[0])
                value = stream.read(size)
            found[tag] = struct.unpack(f"<{number}{_LETTERS[kind]}", value[:size])
    return found
