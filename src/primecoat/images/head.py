"""The first bytes of a file, and bounded reads further in."""

from __future__ import annotations

from typing import BinaryIO

HEAD = 64 * 1024
"""Bytes read at once: enough for nearly every header."""

LIMIT = 16 * 1024 * 1024
"""Most bytes that one read may ask for, whatever length a file claims."""


class Head:
    """A file seen from its start; one read serves most headers.

    Parameters
    ----------
    stream
        A file opened for reading, or bytes in memory.

    Examples
    --------
    >>> from io import BytesIO
    >>> head = Head(BytesIO(b"abcdef"))
    >>> head.at(2, 100), head.size
    (b'cdef', 6)
    """

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self.start = stream.read(HEAD)
        self.size = len(self.start) if len(self.start) < HEAD else stream.seek(0, 2)

    def at(self, offset: int, length: int) -> bytes:
        """Return up to `length` bytes from `offset`; fewer where the file ends."""
        length = min(length, LIMIT)
        if offset < 0 or length <= 0 or offset >= self.size:
            return b""
        if min(offset + length, self.size) <= len(self.start):
            return self.start[offset : offset + length]
        self._stream.seek(offset)
        return self._stream.read(length)
