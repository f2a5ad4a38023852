"""The header of a single-part OpenEXR file: every attribute, as bytes.

Source: OpenEXR, *OpenEXR File Layout*: magic number, version field with its flags, then attributes
of name, type, size and value up to an empty name.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import ImageError

_MAGIC = 20000630
_MOST = 1 << 26
_TYPES = {0: "uint", 1: "half", 2: "float"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ExrChannel:
    """One channel: its name, stored type, whether it is perceptually linear, its sampling."""

    name: str
    kind: str
    sampling: tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExrHeader:
    """The header of a file of one part.

    Parameters
    ----------
    version
        Version of the file format.
    flags
        Its flags: 0x200 tiles, 0x400 long names, 0x800 deep, 0x1000 several parts.
    attributes
        Type and value by name.
    end
        Place of the first byte behind the header.
    """

    version: int
    flags: int
    attributes: dict[str, tuple[str, bytes]]
    end: int

    def value(self, name: str, kind: str) -> bytes | None:
        """Return the bytes of an attribute of a type, or None."""
        found = self.attributes.get(name)
        return None if found is None or found[0] != kind else found[1]

    def text(self, name: str) -> str | None:
        """Return a text, or None."""
        raw = self.value(name, "string")
        return None if raw is None else raw.decode("utf-8", "replace")

    def window(self, name: str) -> tuple[int, int, int, int] | None:
        """Return left, top, right and bottom of a window, the last ones within it, or None."""
        raw = self.value(name, "box2i")
        if raw is None or len(raw) != 16:
            return None
        left, top, right, bottom = struct.unpack("<4i", raw)
        return left, top, right, bottom

    def channels(self) -> tuple[ExrChannel, ...]:
        """Return the channels in the order of the file."""
        raw, at = self.value("channels", "chlist") or b"\0", 0
        found = []
        while raw[at : at + 1] not in (b"", b"\0"):
            end = raw.find(b"\0", at)
            if end < 0 or end + 17 > len(raw):
                break
            kind, _, x, y = struct.unpack_from("<iIii", raw, end + 1)
            name = raw[at:end].decode("utf-8", "replace")
            found.append(ExrChannel(name=name, kind=_TYPES.get(kind, "unknown"), sampling=(x, y)))
            at = end + 17
        return tuple(found)


def read_exr_header(path: Path) -> ExrHeader:
    """Read the header of an OpenEXR file; of several parts, that of the first.

    Raises
    ------
    ImageError
        If it is no OpenEXR file, or its header does not end.
    """
    with path.open("rb") as stream:
        data = stream.read(1 << 16)
        while True:
            found = _parsed(data)
            if found is not None:
                return found
            more = stream.read(len(data)) if len(data) < _MOST else b""
            if not more or data[:4] != struct.pack("<i", _MAGIC):
                raise ImageError(
                    f"Cannot read the header of {path}: it is no OpenEXR file, or is cut off.",
                    "Write it again.",
                )
            data += more


def _parsed(data: bytes) -> ExrHeader | None:
    if len(data) < 9 or struct.unpack_from("<i", data)[0] != _MAGIC:
        return None
    field = struct.unpack_from("<I", data, 4)[0]
    attributes: dict[str, tuple[str, bytes]] = {}
    at = 8
    while data[at : at + 1] != b"\0":
        name_end = data.find(b"\0", at)
        kind_end = data.find(b"\0", name_end + 1)
        if name_end < 0 or kind_end < 0 or kind_end + 5 > len(data):
            return None
        size = struct.unpack_from("<I", data, kind_end + 1)[0]
        begin = kind_end + 5
        if begin + size >= len(data):
            return None
        name = data[at:name_end].decode("utf-8", "replace")
        kind = data[name_end + 1 : kind_end].decode("utf-8", "replace")
        attributes[name] = kind, data[begin : begin + size]
        at = begin + size
    return ExrHeader(version=field & 0xFF, flags=field & ~0xFF, attributes=attributes, end=at + 1)
