"""Colour statements of an OpenEXR file, from the attributes of its headers.

Sources: OpenEXR *File Layout* (magic, version, attributes, parts); ASWF Color Interop Forum,
*Identifying the Color Space of OpenEXR Files* v1.0.0 (reading order) and *An ID for Color Interop*
v1.0.0 (namespaces).
"""

from __future__ import annotations

import struct

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.images.encodings import WORDS, match_primaries, reading_of
from primecoat.images.head import HEAD, LIMIT, Head
from primecoat.images.header import ColourStatement

SIGNATURE = b"\x76\x2f\x31\x01"

_MULTIPART = 0x1000
_MOST_PARTS = 1024
_FLAGS = ("acesImageContainerFlag", "acesImageContainer")
_WANTED = (*_FLAGS, "colorInteropID", "chromaticities", "name")

Attributes = dict[str, bytes]


def exr_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the headers state about the first part, the one that rules first."""
    parts = _read_parts(head)
    if not parts:
        return ()
    first = parts[0]
    found = [*_flag(first), *_interop_id(first), *_chromaticities(first)]
    for number, part in enumerate(parts[1:], start=1):
        found.extend(_other_part(first, part, number))
    return tuple(found)


def _read_parts(head: Head) -> list[Attributes]:
    """Return the wanted attributes of each part; what a short file holds of them."""
    size = HEAD
    while True:
        buffer = head.at(0, size)
        parts, complete = _parse(buffer)
        if complete or size >= LIMIT or len(buffer) < size:
            return parts
        size *= 16


def _parse(buffer: bytes) -> tuple[list[Attributes], bool]:
    """Parse the headers in a buffer; the flag tells whether they ended within it."""
    flags = int.from_bytes(buffer[4:8], "little")
    parts: list[Attributes] = []
    at = 8
    while len(parts) < _MOST_PARTS:
        if buffer[at : at + 1] == b"\0":
            return parts, True
        part: Attributes = {}
        parts.append(part)
        while buffer[at : at + 1] != b"\0":
            name, at = _text(buffer, at)
            _, at = _text(buffer, at)
            if at < 0 or at + 4 > len(buffer):
                return parts, False
            length = int.from_bytes(buffer[at : at + 4], "little")
            at += 4
            if name in _WANTED and at + length <= len(buffer):
                part.setdefault(name, buffer[at : at + length])
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


def _id(part: Attributes) -> str:
    return part.get("colorInteropID", b"").decode("latin-1").strip("\0 ")


def resolve_id(text: str) -> str | None:
    """Return the reading an ID stands for, dropping namespaces from the left, or None.

    Examples
    --------
    >>> resolve_id("lin_ap1_scene"), resolve_id("studio:local:srgb_p3d65_scene"), resolve_id("x")
    ('lin_ap1_scene', None, None)
    >>> resolve_id("studio:lin_ap1_scene")
    'lin_ap1_scene'
    """
    for name in (text, text.partition(":")[2]):
        if name in SPACES or name == DATA:
            return name
    return None


def _flag(part: Attributes) -> list[ColourStatement]:
    for name in _FLAGS:
        if len(part.get(name, b"")) == 4 and struct.unpack("<i", part[name])[0] == 1:
            words = f"{name} is set: ACES2065-1"
            return [
                ColourStatement(
                    kind="ACES container flag", reading="lin_ap0_scene", firm=True, words=words
                )
            ]
    return []


def _interop_id(part: Attributes) -> list[ColourStatement]:
    text = _id(part)
    if not text:
        return []
    reading = resolve_id(text)
    if text == UNKNOWN:
        words = "colorInteropID is unknown: whoever wrote the file did not know"
    elif reading == DATA:
        words = "colorInteropID is data: numbers, not colour, in the whole file"
    elif reading is None:
        words = f"colorInteropID {text} is not in the vocabulary"
    else:
        words = f"colorInteropID is {text}"
    firm = text != UNKNOWN
    return [ColourStatement(kind="colorInteropID", reading=reading, firm=firm, words=words)]


def _chromaticities(part: Attributes) -> list[ColourStatement]:
    raw = part.get("chromaticities", b"")
    if len(raw) != 32:
        return []
    primaries = match_primaries(struct.unpack("<8f", raw))
    words = f"chromaticities of {WORDS[primaries] if primaries else 'no known'} primaries"
    return [
        ColourStatement(
            kind="chromaticities",
            reading=reading_of("linear", primaries),
            firm=False,
            words=f"{words} (a hint: writers leave them stale)",
        )
    ]


def _other_part(first: Attributes, part: Attributes, number: int) -> list[ColourStatement]:
    """Note a later part that states something else than the first."""
    text = _id(part)
    if not text or text == _id(first):
        return []
    name = part.get("name", b"").decode("latin-1")
    words = f"part {number} ({name}) has colorInteropID {text}, the first part another or none"
    return [ColourStatement(kind="colorInteropID of a part", reading=None, firm=False, words=words)]
