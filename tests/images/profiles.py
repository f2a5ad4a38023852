"""ICC profiles made byte by byte, with colorants computed by an independent library."""

from __future__ import annotations

import struct
from functools import lru_cache

import colour
import numpy as np
from numpy.typing import NDArray

SPACES = {
    "rec709": "ITU-R BT.709",
    "p3d65": "P3-D65",
    "rec2020": "ITU-R BT.2020",
    "adobergb": "Adobe RGB (1998)",
    "ap0": "ACES2065-1",
    "ap1": "ACEScg",
    "prophoto": "ProPhoto RGB",
}

D50 = np.array([0.9642, 1.0, 0.8249])
"""White of the profile connection space. Source: ICC.1, header bytes 68 to 79."""


def curv(*entries: int) -> bytes:
    """Return a curveType element."""
    return b"curv" + bytes(4) + struct.pack(f">I{len(entries)}H", len(entries), *entries)


def para(kind: int, *numbers: float) -> bytes:
    """Return a parametricCurveType element."""
    fixed = [round(n * 65536) for n in numbers]
    return b"para" + bytes(4) + struct.pack(f">HH{len(fixed)}i", kind, 0, *fixed)


SRGB_CURVE = para(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
"""The sRGB curve as parameters. Source: IEC 61966-2-1:1999."""

LINEAR = curv()


@lru_cache(maxsize=16)
def _colorants(primaries: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    space = colour.RGB_COLOURSPACES[SPACES[primaries]]
    native = colour.normalised_primary_matrix(space.primaries, space.whitepoint)
    white = colour.xy_to_XYZ(space.whitepoint)
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, D50, "Bradford")
    return np.asarray(adapt @ native, np.float64), np.asarray(adapt, np.float64)


def _fixed(kind: bytes, numbers: NDArray[np.float64]) -> bytes:
    flat = [round(float(n) * 65536) for n in np.ravel(numbers)]
    return kind + bytes(4) + struct.pack(f">{len(flat)}i", *flat)


def assemble(
    space: bytes, tags: dict[bytes, bytes], connection: bytes = b"XYZ ", *, version: int = 4
) -> bytes:
    """Return a profile of these tag elements."""
    head = bytearray(128)
    head[8:12] = bytes([version, 0x30 if version == 4 else 0x10, 0, 0])
    head[12:16] = b"mntr"
    head[16:20], head[20:24], head[36:40] = space, connection, b"acsp"
    at = 132 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for signature, element in tags.items():
        padded = element + bytes(-len(element) % 4)
        table += struct.pack(">4sII", signature, at + len(body), len(element))
        body += padded
    head[0:4] = struct.pack(">I", at + len(body))
    return bytes(head) + table + body


def rgb_profile(
    primaries: str,
    curve: bytes,
    *,
    description: str = "sRGB IEC61966-2.1",
    chad: bool = True,
    adapted: bool = True,
    padding: int = 0,
) -> bytes:
    """Return a matrix profile; its description lies unless told otherwise.

    Without ``chad`` it is of version 2; ``adapted`` tells whether its colorants are under D50, as
    they should be.
    """
    colorants, adapt = _colorants(primaries)
    if not adapted:
        colorants = np.linalg.inv(adapt) @ colorants
    text = description.encode()
    tags = {
        b"desc": b"desc" + bytes(4) + struct.pack(">I", len(text) + 1) + text + bytes(79),
        b"wtpt": _fixed(b"XYZ ", D50),
        **{
            name: _fixed(b"XYZ ", colorants[:, i])
            for i, name in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))
        },
        **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve),
    }
    if chad:
        tags[b"chad"] = _fixed(b"sf32", adapt)
    if padding:
        tags[b"zzzz"] = b"data" + bytes(padding)
    return assemble(b"RGB ", tags, version=4 if chad else 2)


def grey_profile(curve: bytes, connection: bytes = b"XYZ ") -> bytes:
    """Return a grey profile."""
    return assemble(b"GRAY", {b"wtpt": _fixed(b"XYZ ", D50), b"kTRC": curve}, connection)


def table_profile(space: bytes, code_points: bytes = b"") -> bytes:
    """Return a profile that works by look-up tables, with code points if any are given."""
    tags = {b"A2B0": b"mft2" + bytes(60)}
    if code_points:
        tags[b"cicp"] = b"cicp" + bytes(4) + code_points
    return assemble(space, tags, b"Lab ")
