"""PNG bytes whose label says which display their codes are for; nothing touches the disk.

Source: W3C *PNG Specification (Third Edition)*, 2025: 11.3.2.6 (cICP), 11.3.2.3 (iCCP), 11.3.2.5
(sRGB); 4.3 (cICP comes before iCCP, that before sRGB). Code points: ITU-T H.273.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.images.icc_write import matrix_profile

_PRIMARIES = {"rec709": 1, "rec2020": 9, "p3d65": 12}
_CURVES = {"g24": 1, "g22": 4, "srgb": 13, "pq": 16, "g26": 17, "hlg": 18}

_LEVEL = 1
"""Of deflate: the picture goes to the same machine, so time counts more than bytes."""


def png(codes: NDArray[np.float32], display: str | None) -> bytes:
    """Return a picture of 8 bits a channel.

    Parameters
    ----------
    codes
        Display codes, shape (height, width, 3) or (height, width); cut to 0 to 1.
    display
        Color Interop ID of the display whose codes they are; None for no label.

    Examples
    --------
    >>> b"sRGB" in png(np.zeros((2, 2, 3), np.float32), "srgb_rec709_display")
    True
    """
    pixels = rounded(codes)
    height, width = pixels.shape[:2]
    lines = np.zeros((height, 1 + pixels[0].size), np.uint8)  # the first byte: no filter
    lines[:, 1:] = pixels.reshape(height, -1)
    shape = struct.pack(">IIBBBBB", width, height, 8, 2 if pixels.ndim == 3 else 0, 0, 0, 0)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", shape),
            *_labels(display),
            _chunk(b"IDAT", zlib.compress(lines.tobytes(), _LEVEL)),
            _chunk(b"IEND", b""),
        )
    )


def rounded(codes: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Return codes 0 to 255, the nearest; what lies outside is cut off, NaN is 0."""
    sound = np.nan_to_num(codes, nan=0.0, posinf=1.0, neginf=0.0)
    return np.asarray(np.rint(np.clip(sound, 0.0, 1.0) * 255.0), np.uint8)


def label(display: str | None) -> str:
    """Return how a picture says which display it is for, in words.

    Examples
    --------
    >>> label("srgb_p3d65_display"), label("pq_rec2020_display"), label(None)
    ('cICP 12/13 and ICC profile', 'cICP 9/16', 'none')
    """
    if display is None:
        return "none"
    if display == "srgb_rec709_display":
        return "sRGB chunk"
    primaries, curve = _points(display)
    return f"cICP {primaries}/{curve}" + (
        " and ICC profile" if display == "srgb_p3d65_display" else ""
    )


def _points(display: str) -> tuple[int, int]:
    space = SPACES[display]
    return _PRIMARIES[space.primaries], _CURVES[space.curve]


def _labels(display: str | None) -> tuple[bytes, ...]:
    if display is None:
        return ()
    if display == "srgb_rec709_display":
        return (_chunk(b"sRGB", b"\0"),)
    made = [_chunk(b"cICP", bytes((*_points(display), 0, 1)))]
    if display == "srgb_p3d65_display":  # for readers that do not know cICP yet
        profile = matrix_profile(display, "Display P3")
        if profile is not None:
            made.append(_chunk(b"iCCP", b"Display P3\0\0" + zlib.compress(profile)))
    return tuple(made)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
