"""Rows of OpenEXR files of one part with scan lines, stored plain or deflated.

Source: OpenEXR, *OpenEXR File Layout* (table of places, then chunks of first row, size, data; in a
row one channel after the other, by name); the deflated form is that of ``ImfZip.cpp``: bytes of
even places, then of odd ones, each stored as its difference from the one before, plus 128.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import ImageError
from primecoat.images.second_reader.exr_header import ExrHeader, read_exr_header

_ROWS = {0: 1, 2: 1, 3: 16}
"""Rows of a chunk by compression: none, zips, zip."""

_NUMBERS = {"half": "<f2", "float": "<f4"}
_ORDER = "RGBA"


def exr_rows(path: Path) -> Iterator[NDArray[Any]] | None:
    """Return rows of shape (rows, width, channels R G B A), or None for another layout."""
    header = read_exr_header(path)
    kinds = {channel.kind for channel in header.channels()}
    names = {channel.name for channel in header.channels()}
    plain = header.flags & ~0x400 == 0 and len(kinds) == 1 and kinds <= _NUMBERS.keys()
    sampled = all(channel.sampling == (1, 1) for channel in header.channels())
    compression = (header.value("compression", "compression") or b"\xff")[0]
    if not plain or not sampled or not names <= set(_ORDER) or compression not in _ROWS:
        return None
    return _rows(path, header, compression, _NUMBERS[kinds.pop()])


def _rows(path: Path, header: ExrHeader, compression: int, kind: str) -> Iterator[NDArray[Any]]:
    window = header.window("dataWindow")
    if window is None:
        raise _damaged(path)
    left, top, right, bottom = window
    width, height = right - left + 1, bottom - top + 1
    names = [channel.name for channel in header.channels()]
    order = [names.index(name) for name in _ORDER if name in names]
    step = _ROWS[compression]
    count = -(-height // step)
    with path.open("rb") as stream:
        stream.seek(header.end)
        table = stream.read(8 * count)
        if len(table) != 8 * count:
            raise _damaged(path)
        for number, place in enumerate(struct.unpack(f"<{count}Q", table)):
            rows = min(step, height - number * step)
            size = rows * len(names) * width * np.dtype(kind).itemsize
            data = _chunk(stream, path, place, top + number * step, size, packed=compression != 0)
            planes = np.frombuffer(data, kind).reshape(rows, len(names), width)
            yield planes[:, order].transpose(0, 2, 1)


def _chunk(stream: BinaryIO, path: Path, place: int, row: int, size: int, *, packed: bool) -> bytes:
    stream.seek(place)
    head = stream.read(8)
    if len(head) != 8:
        raise _damaged(path)
    first, stored = struct.unpack("<ii", head)
    data = stream.read(max(0, stored))
    if first != row or len(data) != stored:
        raise _damaged(path)
    if packed and stored != size:  # what would not get smaller is stored plain
        data = _inflated(data)
    if len(data) != size:
        raise _damaged(path)
    return data


def _inflated(data: bytes) -> bytes:
    try:
        steps = np.frombuffer(zlib.decompress(data), np.uint8).copy()
    except zlib.error:
        return b""
    steps[1:] -= np.uint8(128)
    halves = np.cumsum(steps, dtype=np.uint8)
    middle = (len(halves) + 1) // 2
    out = np.empty_like(halves)
    out[0::2], out[1::2] = halves[:middle], halves[middle:]
    return out.tobytes()


def _damaged(path: Path) -> ImageError:
    return ImageError(f"Cannot read {path} to its end: a chunk is damaged.", "Write it again.")
