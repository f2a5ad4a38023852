"""The headers of an OpenEXR file, part by part: attributes and channels, from the bytes.

Source: OpenEXR *File Layout*: magic, version field with its flags, then for each part attributes of
name, type, size and value; ``chlist`` holds name, type (0 uint, 1 half, 2 float) and subsampling.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field

from primecoat.images.head import HEAD, LIMIT, Head

SIGNATURE = b"\x76\x2f\x31\x01"

_MULTIPART = 0x1000
_DEEP = 0x0800
_TILED = 0x0200
_MOST_PARTS = 1024
_MOST_CHANNELS = 1024
_MOST_VIEWS = 64
_MIPMAP, _RIPMAP = 1, 2
_TYPES = {0: "uint32", 1: "half", 2: "float"}
_WANTED = frozenset(
    (
        "acesImageContainerFlag",
        "acesImageContainer",
        "colorInteropID",
        "chromaticities",
        "name",
        "type",
        "channels",
        "view",
        "multiView",
        "tiles",
        "dataWindow",
        "displayWindow",
        "textureformat",
        "oiio:SHA-1",
        "Software",
        "DateTime",
        "capDate",
    )
)


@dataclass(frozen=True, slots=True)
class Channel:
    """One channel of a part."""

    name: str
    pixel_type: str
    subsampled: bool


@dataclass(slots=True)
class Part:
    """The attributes of one part that matter here, as bytes."""

    attributes: dict[str, bytes] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """Return a text attribute, or an empty text."""
        raw = self.attributes.get(name, b"")
        return raw.decode("utf-8", "replace").strip("\0 ")

    def channels(self) -> tuple[Channel, ...]:
        """Return the channels in the file's order; those that can be read of a damaged list."""
        raw, at = self.attributes.get("channels", b""), 0
        found: list[Channel] = []
        while len(found) < _MOST_CHANNELS and raw[at : at + 1] not in (b"", b"\0"):
            name, at = _text(raw, at)
            if at < 0 or at + 16 > len(raw):
                break
            kind, _, x, y = struct.unpack_from("<iIii", raw, at)
            found.append(Channel(name, _TYPES.get(kind, "unknown"), (x, y) != (1, 1)))
            at += 16
        return tuple(found)

    def views(self) -> tuple[str, ...]:
        """Return the views the part holds, the default one first; none if it names none."""
        own = self.text("view")
        if own:
            return (own,)
        raw, at = self.attributes.get("multiView", b""), 0
        found: list[str] = []
        while len(found) < _MOST_VIEWS and at + 4 <= len(raw):
            end = at + 4 + int.from_bytes(raw[at : at + 4], "little")
            if end > len(raw):
                break
            found.append(raw[at + 4 : end].decode("utf-8", "replace"))
            at = end
        return tuple(found)

    def levels(self) -> int:
        """Return how many sizes the part is stored in; of a ripmap, along its longer side."""
        tiles, window = self.attributes.get("tiles", b""), self.attributes.get("dataWindow", b"")
        if len(tiles) != 9 or len(window) != 16 or tiles[8] & 0xF not in (_MIPMAP, _RIPMAP):
            return 1
        left, top, right, bottom = struct.unpack("<4i", window)
        longest = int(max(right - left + 1, bottom - top + 1, 1))
        up = tiles[8] >> 4 != 0  # sizes are rounded up, else down
        return (longest - 1).bit_length() + 1 if up else longest.bit_length()


@dataclass(frozen=True, slots=True)
class ExrHeaders:
    """All headers of a file.

    Parameters
    ----------
    parts
        Each part; of a file that is cut off, those that are there.
    tiled, deep
        Whether the only part is tiled, or any part holds several samples a pixel.
    """

    parts: tuple[Part, ...]
    tiled: bool
    deep: bool


def read_exr_headers(head: Head) -> ExrHeaders:
    """Read the headers; never raises, whatever the bytes are."""
    size = HEAD
    while True:
        buffer = head.at(0, size)
        parts, complete = _parse(buffer)
        if complete or size >= LIMIT or len(buffer) < size:
            break
        size *= 16
    flags = int.from_bytes(buffer[4:8], "little")
    kinds = {part.text("type") for part in parts}
    return ExrHeaders(
        parts=tuple(parts),
        tiled=bool(flags & _TILED) or (bool(parts) and parts[0].text("type").endswith("tile")),
        deep=bool(flags & _DEEP) or any(kind.startswith("deep") for kind in kinds),
    )


def _parse(buffer: bytes) -> tuple[list[Part], bool]:
    """Parse the headers in a buffer; the flag tells whether they ended within it."""
    flags = int.from_bytes(buffer[4:8], "little")
    parts: list[Part] = []
    at = 8
    while len(parts) < _MOST_PARTS:
        if buffer[at : at + 1] == b"\0":
            return parts, True
        part = Part()
        parts.append(part)
        while buffer[at : at + 1] != b"\0":
            name, at = _text(buffer, at)
            _, at = _text(buffer, at)
            if at < 0 or at + 4 > len(buffer):
                return parts, False
            length = int.from_bytes(buffer[at : at + 4], "little")
            at += 4
            if name in _WANTED and at + length <= len(buffer):
                part.attributes.setdefault(name, buffer[at : at + length])
            at += length
            if at >= len(buffer):
                return parts, False
        at += 1
        if not flags & _MULTIPART:
            return parts, True
    return parts, True


def _text(buffer: bytes, at: int) -> tuple[str, int]:
    """Return a zero-ended text and the place after it, or a negative place if it does not end."""
    end = buffer.find(b"\0", at, at + 256) if at >= 0 else -1
    return ("", -1) if end < 0 else (buffer[at:end].decode("latin-1"), end + 1)
