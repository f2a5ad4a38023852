"""Picture files put together by hand, chunk by chunk and segment by segment."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
from numpy.typing import NDArray
from PIL import Image

SRGB_CHRM = (31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000)
"""Source: W3C *PNG Specification (Third Edition)*, section 11.3.2.5."""
AP1_CHRM = (32168, 33767, 71300, 29300, 16500, 83000, 12800, 4400)
"""Source: ACES documentation, ACEScg (chromaticities times 100000)."""
ADOBE_CHRM = (31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000)
"""Source: Adobe RGB (1998) Color Image Encoding."""


def pixels(channels: int = 3, dtype: str = "uint8", size: int = 8) -> NDArray[np.generic]:
    """Return a small picture of random codes."""
    most = np.iinfo(dtype).max
    return np.random.default_rng(7).integers(0, most, (size, size, channels), dtype=dtype)


def chunk(kind: bytes, body: bytes) -> bytes:
    """Return a PNG chunk."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def gama(gamma: int) -> bytes:
    """Return a gAMA chunk."""
    return chunk(b"gAMA", struct.pack(">I", gamma))


def chrm(numbers: tuple[int, ...]) -> bytes:
    """Return a cHRM chunk: white, red, green, blue."""
    return chunk(b"cHRM", struct.pack(">8I", *numbers))


def iccp(profile: bytes) -> bytes:
    """Return an iCCP chunk."""
    return chunk(b"iCCP", b"profile\0\0" + zlib.compress(profile))


def png(*chunks: bytes, grey: bool = False, depth: int = 8) -> bytes:
    """Return a PNG file of 4 × 4 pixels with these chunks before its pixels."""
    row = bytes(1 + 4 * (1 if grey else 3) * depth // 8)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            chunk(b"IHDR", struct.pack(">IIBBBBB", 4, 4, depth, 0 if grey else 2, 0, 0, 0)),
            *chunks,
            chunk(b"IDAT", zlib.compress(row * 4)),
            chunk(b"IEND", b""),
        )
    )


def exif(colour_space: int | None, index: bytes = b"") -> bytes:
    """Return an EXIF block (from its TIFF header on). Source: CIPA DC-008."""
    entries = []
    if colour_space is not None:
        entries.append(struct.pack("<HHIHH", 0xA001, 3, 1, colour_space, 0))
    exif_at, inter_at = 26, 26 + 2 + 12 * (len(entries) + bool(index)) + 4
    if index:
        entries.append(struct.pack("<HHII", 0xA005, 4, 1, inter_at))
    block = b"II*\0" + struct.pack("<I", 8)
    block += struct.pack("<HHHIII", 1, 0x8769, 4, 1, exif_at, 0)
    block += struct.pack("<H", len(entries)) + b"".join(entries) + bytes(4)
    if index:
        block += struct.pack("<HHHI4sI", 1, 1, 2, 4, index + b"\0", 0)
    return block


def jpeg(array: NDArray[np.generic], *segments: bytes) -> bytes:
    """Return a JPEG file by Pillow with these segments put in front."""
    out = io.BytesIO()
    Image.fromarray(array).save(out, "JPEG", quality=90)
    return out.getvalue()[:2] + b"".join(segments) + out.getvalue()[2:]


def segment(marker: int, body: bytes) -> bytes:
    """Return a JPEG segment."""
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def icc_segments(profile: bytes, size: int = 60000) -> list[bytes]:
    """Return APP2 segments that carry a profile. Source: ICC.1, Annex B."""
    parts = [profile[at : at + size] for at in range(0, len(profile), size)]
    return [
        segment(0xE2, b"ICC_PROFILE\0" + bytes([number, len(parts)]) + part)
        for number, part in enumerate(parts, start=1)
    ]


def tiff_with_exif(colour_space: int) -> bytes:
    """Return a TIFF file of one grey pixel whose EXIF directory states a colour space."""
    tags = [
        (256, 4, 1), (257, 4, 1), (258, 3, 8), (259, 3, 1), (262, 3, 1), (273, 4, 200),
        (277, 3, 1), (278, 4, 1), (279, 4, 1), (0x8769, 4, 160),
    ]  # fmt: skip
    block = b"II*\0" + struct.pack("<IH", 8, len(tags))
    block += b"".join(struct.pack("<HHII", tag, kind, 1, value) for tag, kind, value in tags)
    block = (block + bytes(4)).ljust(160, b"\0")
    block += struct.pack("<HHHII", 1, 0xA001, 3, 1, colour_space) + bytes(4)
    return block.ljust(200, b"\0") + b"\x80"


def radiance(*lines: str) -> bytes:
    """Return a Radiance picture of 2 × 2 grey pixels with these header lines."""
    header = "\n".join(("#?RADIANCE", "FORMAT=32-bit_rle_rgbe", *lines, "", "-Y 2 +X 2\n"))
    return header.encode() + bytes([128, 128, 128, 129] * 4)
