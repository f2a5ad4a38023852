"""Colour statements of a WebP file, from its RIFF chunks.

Source: RFC 9649 (WebP image format), section 2.7: ICCP comes before the picture, EXIF after it.
"""

from __future__ import annotations

from primecoat.images.exif import exif_statement
from primecoat.images.head import Head
from primecoat.images.header import ColourStatement
from primecoat.images.icc_statement import profile_statement

_MOST_CHUNKS = 4096


def is_webp(head: Head) -> bool:
    """Tell whether the bytes are those of a WebP file."""
    return head.start[:4] == b"RIFF" and head.start[8:12] == b"WEBP"


def webp_statements(head: Head) -> tuple[ColourStatement, ...]:
    """Return what the chunks state about colour, the one that rules first."""
    found: list[ColourStatement | None] = []
    at = 12
    for _ in range(_MOST_CHUNKS):
        front = head.at(at, 8)
        if len(front) < 8:
            break
        length = int.from_bytes(front[4:8], "little")
        if front[:4] == b"ICCP":
            found.append(profile_statement(head.at(at + 8, length), grey=False))
        elif front[:4] == b"EXIF":
            block = head.at(at + 8, length)
            found.append(exif_statement(block.removeprefix(b"Exif\0\0")))
        at += 8 + length + length % 2
    return tuple(statement for statement in found if statement)


def webp_storage(head: Head) -> tuple[str, ...]:
    """Return how pixels are stored: lossy or lossless, and whether there are several frames.

    Source: RFC 9649, sections 2.5 to 2.7 (chunks ``VP8 ``, ``VP8L``, ``VP8X``; flag 0x02 of the
    last for animation).
    """
    found: list[str] = []
    at = 12
    for _ in range(_MOST_CHUNKS):
        front = head.at(at, 9)
        if len(front) < 8:
            break
        kind = front[:4]
        if kind == b"VP8X" and len(front) == 9 and front[8] & 0x02:
            found.append("animation")
        if kind in (b"VP8 ", b"VP8L"):
            found.append("lossy" if kind == b"VP8 " else "lossless")
            break
        length = int.from_bytes(front[4:8], "little")
        at += 8 + length + length % 2
    return tuple(found)
