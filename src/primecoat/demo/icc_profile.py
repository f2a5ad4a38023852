"""An ICC profile for Display P3, built from its published numbers.

ICC.1:2010 (profile version 4.3), "Monitor" class, matrix and tone curves. Primaries: SMPTE
RP 431-2, white D65, tone curve of IEC 61966-2-1 (sRGB). Adaptation to D50 by linear Bradford.
"""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]

P3_PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
D65 = (0.3127, 0.3290)
D50_XYZ = np.array([0.9642, 1.0, 0.8249])
"""White of the profile connection space, ICC.1:2010, 7.2.16."""

BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
"""Parameters g, a, b, c, d of parametric curve type 3."""


def adaptation_d65_to_d50() -> Matrix:
    """Return the Bradford matrix that takes XYZ under D65 to XYZ under D50."""
    scale = (BRADFORD @ D50_XYZ) / (BRADFORD @ _xyz(D65))
    return np.asarray(np.linalg.inv(BRADFORD) @ np.diag(scale) @ BRADFORD)


def colorants_d50() -> Matrix:
    """Return the matrix from linear Display P3 to XYZ under D50, one primary a column.

    Examples
    --------
    >>> [round(float(x), 4) for x in colorants_d50().sum(axis=1)]
    [0.9642, 1.0, 0.8249]
    """
    columns = np.array([_xyz(xy) for xy in P3_PRIMARIES]).T
    to_xyz = columns * np.linalg.solve(columns, _xyz(D65))
    return np.asarray(adaptation_d65_to_d50() @ to_xyz)


@cache
def display_p3_profile() -> bytes:
    """Return the profile's bytes."""
    red, green, blue = colorants_d50().T
    curve = b"para" + bytes(4) + struct.pack(">HH", 3, 0) + _fixed(*SRGB_CURVE)
    return _profile(
        {
            b"desc": _text("Display P3"),
            b"cprt": _text("No rights reserved"),
            b"wtpt": _xyz_tag(D50_XYZ),
            b"chad": b"sf32" + bytes(4) + _fixed(*adaptation_d65_to_d50().ravel()),
            b"rXYZ": _xyz_tag(red),
            b"gXYZ": _xyz_tag(green),
            b"bXYZ": _xyz_tag(blue),
            b"rTRC": curve,
            b"gTRC": curve,
            b"bTRC": curve,
        }
    )


def _profile(tags: dict[bytes, bytes]) -> bytes:
    """Return header, tag table and tag data; equal data is stored once."""
    start = 128 + 4 + 12 * len(tags)
    data, table, places = b"", b"", dict[bytes, int]()
    for name, content in tags.items():
        if content not in places:
            places[content] = start + len(data)
            data += content + bytes(-len(content) % 4)
        table += name + struct.pack(">II", places[content], len(content))
    date = struct.pack(">6H", 2000, 1, 1, 0, 0, 0)
    header = struct.pack(">I4sI", start + len(data), bytes(4), 0x04300000)
    header += b"mntrRGB XYZ " + date + b"acsp" + bytes(4 + 4 + 4 + 4 + 8 + 4)
    header += _fixed(*D50_XYZ)
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data


def _xyz(xy: tuple[float, float]) -> Matrix:
    x, y = xy
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _fixed(*values: float) -> bytes:
    """Return numbers as s15Fixed16."""
    return struct.pack(f">{len(values)}i", *(round(float(value) * 65536) for value in values))


def _xyz_tag(values: Matrix) -> bytes:
    return b"XYZ " + bytes(4) + _fixed(*values)


def _text(words: str) -> bytes:
    """Return a multiLocalizedUnicode tag with one record."""
    encoded = words.encode("utf-16-be")
    record = struct.pack(">II2s2sII", 1, 12, b"en", b"US", len(encoded), 28)
    return b"mluc" + bytes(4) + record + encoded
