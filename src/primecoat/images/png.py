"""Colour statements of a PNG file, from its chunks.

Source: W3C *PNG Specification (Third Edition)*, 2025-06-24: section 4.3 (priority: cICP, iCCP,
sRGB, cHRM and gAMA) and 11.3.2 (the chunks). Reading stops at the first IDAT chunk.
"""

from __future__ import annotations

import struct
import zlib

from primecoat.colour.ids import Curve, Primaries
from primecoat.images.encodings import WORDS, match_primaries, reading_of
from primecoat.images.exif import exif_statement
from primecoat.images.head import LIMIT, Head
from primecoat.images.header import ColourStatement
from primecoat.images.icc_statement import profile_statement

SIGNATURE = b"\x89PNG\r\n\x1a\n"

_MOST_CHUNKS = 4096
_WANTED = (b"IHDR", b"cICP", b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"eXIf")

_CICP_PRIMARIES: dict[int, Primaries] = {1: "rec709", 9: "rec2020", 10: "ciexyzd65", 12: "p3d65"}
_CICP_CURVES: dict[int, Curve] = {
    1: "g24",
    4: "g22",
    8: "linear",
    13: "srgb",
    16: "pq",
    17: "g26",
    18: "hlg",
}
"""ITU-T H.273 codes; source of their meaning here: ASWF Color Interop Forum, *Color Space Encodings
for Displays* v1.0.0 (1 = BT.709 shown through BT.1886)."""

_GAMMAS: dict[Curve, int] = {"linear": 100000, "g18": 55556, "g22": 45455, "g24": 41667}
_ADOBE_GAMMA = 45470
"""1 / (563/256) × 100000, as Adobe RGB (1998) defines its exponent."""


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


def _cicp(body: bytes | None) -> ColourStatement | None:
    if body is None or len(body) != 4:
        return None
    primaries, curve = _CICP_PRIMARIES.get(body[0]), _CICP_CURVES.get(body[1])
    words = f"cICP {body[0]}, {body[1]}, {body[2]}, {body[3]}"
    if body[2] != 0:
        words += ": a colour matrix other than RGB, which PNG forbids"
        return ColourStatement(kind="cICP", reading=None, firm=False, words=words)
    if primaries is None or curve is None:
        words += ": of no space in the vocabulary"
        return ColourStatement(kind="cICP", reading=None, firm=True, words=words)
    words += f": {WORDS[primaries]} primaries, {WORDS[curve]}"
    if body[3] == 0:
        words += ", narrow range (codes must be stretched first)"
        return ColourStatement(kind="cICP", reading=None, firm=True, words=words)
    reading = reading_of(curve, primaries)
    return ColourStatement(kind="cICP", reading=reading, firm=True, words=words)


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
    words = [f"gAMA {gamma}"] if gamma else []
    if chrm and len(chrm) == 32:
        wx, wy, *rgb = (n / 100000 for n in struct.unpack(">8I", chrm))
        primaries = match_primaries((*rgb, wx, wy))
        words.append(f"cHRM of {WORDS[primaries] if primaries else 'no known'} primaries")
    if not words:
        return None
    reading, firm, more = _judge_gamma(gamma, primaries, chrm is not None and len(chrm) == 32)
    return ColourStatement(
        kind="gAMA and cHRM", reading=reading, firm=firm, words=f"{' and '.join(words)}: {more}"
    )


def _judge_gamma(
    gamma: int, primaries: Primaries | None, has_primaries: bool
) -> tuple[str | None, bool, str]:
    """Return reading, firmness and words for a gamma with or without primaries."""
    if not gamma:
        return None, False, "primaries without a curve"
    curve = next((name for name, known in _GAMMAS.items() if abs(gamma - known) <= 5), None)
    if abs(gamma - _ADOBE_GAMMA) <= 5 or (curve == "g22" and primaries == "adobergb"):
        return reading_of("g22", primaries), primaries == "adobergb", "gamma 2.2 (563/256)"
    if curve is None:
        return None, False, "a gamma of no known space"
    if curve == "g22":
        words = "gamma 2.2, or the sRGB curve for old readers (they differ by up to 8.5 codes)"
        return (reading_of("srgb", "p3d65") if primaries == "p3d65" else None), False, words
    if not has_primaries:
        words = f"{WORDS[curve]}; primaries not told, Rec.709 is customary"
        return reading_of(curve, "rec709"), False, words
    return reading_of(curve, primaries), True, WORDS[curve]
