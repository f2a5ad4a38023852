"""Rows of PNG files that are not interlaced, 8 or 16 bits, RGB or RGBA.

Source: W3C, *Portable Network Graphics (PNG) Specification (Third Edition)*, 9 (filters) and 10
(deflate).
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

Bytes = NDArray[np.uint8]

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_CHANNELS = {2: 3, 6: 4}
_PIECE = 1 << 22
"""Bytes of rows that are worked on at once."""


def png_rows(path: Path) -> Iterator[NDArray[Any]] | None:
    """Return rows of shape (rows, width, channels), uint8 or uint16, or None for another layout.

    Rows with the two filters that look left and up at once are not read: they go byte by byte.
    """
    with path.open("rb") as stream:
        head = stream.read(33)
    if len(head) != 33 or head[:8] != _SIGNATURE or head[12:16] != b"IHDR":
        return None
    width, height, depth, kind, _, _, interlaced = struct.unpack(">IIBBBBB", head[16:29])
    if depth not in (8, 16) or kind not in _CHANNELS or interlaced:
        return None
    return _rows(path, width, height, _CHANNELS[kind], depth // 8)


def _rows(path: Path, width: int, height: int, channels: int, size: int) -> Iterator[NDArray[Any]]:
    stride = width * channels * size
    above: Bytes = np.zeros(stride, np.uint8)
    held, done = b"", 0
    for piece in _inflated(path):
        held += piece
        count = len(held) // (stride + 1)
        if count:
            lines = np.frombuffer(held, np.uint8, count * (stride + 1)).reshape(count, stride + 1)
            held = held[count * (stride + 1) :]
            rows = _unfiltered(path, lines, above, channels * size)
            above = rows[-1].copy()
            done += count
            codes = rows.reshape(count, width, channels, size)
            yield codes[..., 0] if size == 1 else codes.view(">u2")[..., 0].astype(np.uint16)
    if held or done != height:
        raise ImageError(f"Cannot read {path} to its end: rows are missing.", "Write it again.")


def _inflated(path: Path) -> Iterator[bytes]:
    unpack = zlib.decompressobj()
    for body in _image_data(path):
        data = body
        while data:
            try:
                piece = unpack.decompress(data, _PIECE)
            except zlib.error as error:
                raise ImageError(f"Cannot read {path}: {error}.", "Write it again.") from error
            if piece:
                yield piece
            data = unpack.unconsumed_tail
    rest = unpack.flush()
    if rest:
        yield rest


def _image_data(path: Path) -> Iterator[bytes]:
    with path.open("rb") as stream:
        stream.seek(8)
        while len(head := stream.read(8)) == 8:
            length, kind = struct.unpack(">I4s", head)
            if kind == b"IDAT":
                body = stream.read(length)
                if stream.read(4) != struct.pack(">I", zlib.crc32(kind + body)):
                    raise ImageError(f"Cannot read {path}: a chunk is damaged.", "Write it again.")
                yield body
            else:
                stream.seek(length + 4, 1)


def _unfiltered(path: Path, lines: Bytes, above: Bytes, pixel: int) -> Bytes:
    """Undo the filters of rows: 0 none, 1 left, 2 up."""
    kinds, out = lines[:, 0], lines[:, 1:].copy()
    if (kinds == 2).all():
        out[0] += above
        return np.cumsum(out, axis=0, dtype=np.uint8)
    for at, kind in enumerate(kinds):
        if kind == 1:
            row = out[at].reshape(-1, pixel)
            out[at] = np.cumsum(row, axis=0, dtype=np.uint8).reshape(-1)
        elif kind == 2:
            out[at] += out[at - 1] if at else above
        elif kind:
            raise ImageError(f"The second reader does not read filter {kind} of {path}.", "")
    return out
