"""Colour statements of a PNG file, from its chunks.

Source: W3C *PNG Specification (Third Edition)*, 2025-06-24: section 4.3 (priority: cICP, iCCP,
sRGB, cHRM and gAMA) and 11.3.2 (the chunks). Reading stops at the first IDAT chunk.
"""

from __future__ import annotations

import struct
import zlib

from primecoat.colour.ids import Primaries
from primecoat.images.cicp import judge_code_points
from primecoat.images.encodings import WORDS, match_primaries
from primecoat.images.exif import exif_statement
from primecoat.images.gamma import judge_gamma
from primecoat.images.head import LIMIT, Head
from primecoat.images.header import ColourStatement
from primecoat.images.icc_statement import profile_statement

SIGNATURE = b"\x89PNG\r\n\x1a\n"

_MOST_CHUNKS = 4096
_WANTED = (b"IHDR", b"cICP", b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"eXIf", b"tRNS")


def read_chunks(head: Head) -> dict[bytes, bytes] | None:
    """Return the header chunks that matter for colour, by type.

    Returns
    -------
    dict or None
        First chunk of each type before the pixels; None if the file ends before them.
    """
    found: dict[bytes, bytes] = {}
    at = len(SIGNATURE)
    for _ in range(_MOST_CHUNKS):
        front = head.at(at, 8)
        if len(front) < 8:
            return None
        length, kind = struct.unpack(">I4s", front)
        if kind == b"IDAT":
            return found
        if kind in _WANTED and length <= LIMIT:
            body = head.at(at + 8, length)
            if len(body) == length:
                found.setdefault(kind, body)
        at += 12 + length
    return None


def png_statements(chunks: dict[bytes, bytes]) -> tuple[ColourStatement, ...]:
    """Return what the chunks state about colour, the one that rules first."""
    grey = chunks.get(b"IHDR", b"").ljust(10, b"\0")[9] in (0, 4)
    stated = (
        _cicp(chunks.get(b"cICP")),
        _iccp(chunks.get(b"iCCP"), grey),
        _srgb(chunks.get(b"sRGB")),
        _gamma(chunks.get(b"gAMA"), chunks.get(b"cHRM")),
        exif_statement(chunks.get(b"eXIf", b""), firm=False),
    )
    return tuple(statement for statement in stated if statement)


def png_storage(chunks: dict[bytes, bytes]) -> tuple[str, ...]:
    """Return how pixels are stored, where it is out of the ordinary.

    Source: W3C *PNG Specification (Third Edition)*, sections 11.2.1 (IHDR) and 11.3.1 (tRNS).
    """
    header = chunks.get(b"IHDR", b"").ljust(13, b"\0")
    depth, colour_type = header[8], header[9]
    found = []
    if colour_type == 3:
        found.append("palette")
    elif depth < 8:
        found.append(f"{depth} bit{'s' * (depth != 1)} a channel")
    if b"tRNS" in chunks:
        kind = "entries of the palette" if colour_type == 3 else "one colour"
        found.append(f"{kind} transparent (tRNS)")
    if header[12]:
        found.append("interlaced")
    return tuple(found)


def _cicp(body: bytes | None) -> ColourStatement | None:
    if body is None or len(body) != 4:
        return None
    judged = judge_code_points(body)
    return ColourStatement(
        kind="cICP", reading=judged.reading, firm=judged.firm, words=f"cICP {judged.words}"
    )


def _iccp(body: bytes | None, grey: bool) -> ColourStatement | None:
    if body is None:
        return None
    name, found, rest = body[:81].partition(b"\0")
    packed = body[len(name) + 2 :]
    if not found or not name or rest[:1] != b"\0":
        words = "an iCCP chunk that cannot be understood"
        return ColourStatement(kind="ICC profile", reading=None, firm=False, words=words)
    try:
        profile = zlib.decompressobj().decompress(packed, LIMIT)
    except zlib.error:
        words = "an iCCP chunk that cannot be unpacked"
        return ColourStatement(kind="ICC profile", reading=None, firm=False, words=words)
    return profile_statement(profile, grey=grey)


def _srgb(body: bytes | None) -> ColourStatement | None:
    if body is None or len(body) != 1 or body[0] > 3:
        return None
    words = f"an sRGB chunk (rendering intent {body[0]})"
    return ColourStatement(kind="sRGB chunk", reading="srgb_rec709_scene", firm=True, words=words)


def _gamma(gama: bytes | None, chrm: bytes | None) -> ColourStatement | None:
    gamma = int.from_bytes(gama, "big") if gama and len(gama) == 4 else 0
    primaries: Primaries | None = None
    has_primaries = chrm is not None and len(chrm) == 32
    words = [f"gAMA {gamma}"] if gamma else []
    if chrm and has_primaries:
        wx, wy, *rgb = (n / 100000 for n in struct.unpack(">8I", chrm))
        primaries = match_primaries((*rgb, wx, wy))
        words.append(f"cHRM of {WORDS[primaries] if primaries else 'no known'} primaries")
    if not words:
        return None
    judged = judge_gamma(gamma, primaries, has_primaries=has_primaries)
    return ColourStatement(
        kind="gAMA and cHRM",
        reading=judged.reading,
        firm=judged.firm,
        words=f"{' and '.join(words)}: {judged.words}",
        among=judged.among,
    )
