"""ICC profiles for the vocabulary's RGB spaces, built from their published numbers.

ICC.1:2010 (profile version 4.3), "Monitor" class, matrix and parametric tone curves, adapted to
D50 by linear Bradford. Two profiles of one space are the same bytes.
"""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.decoding import ADOBE_POWER, POWERS
from primecoat.colour.ids import SPACES, Curve
from primecoat.colour.primaries import (
    BRADFORD,
    Chromaticity,
    primaries_of,
    rgb_to_xyz_matrix,
    xy_to_xyz,
)

Matrix = NDArray[np.float64]

D50_XYZ = np.array([0.9642, 1.0, 0.8249])
"""White of the profile connection space, ICC.1:2010, 7.2.16."""

_SRGB = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
"""IEC 61966-2-1 as parameters g, a, b, c, d of parametric curve type 3."""


@cache
def matrix_profile(space: str, words: str = "") -> bytes | None:
    """Return the profile of a colour space; None for one that a matrix profile cannot describe.

    Parameters
    ----------
    space
        Color Interop ID.
    words
        Its description; by default the ID.

    Examples
    --------
    >>> matrix_profile("lin_ap1_scene")[36:40], matrix_profile("pq_rec2020_display")
    (b'acsp', None)
    """
    known = SPACES[space]
    primaries = primaries_of(space)
    curve = _curve(known.curve, adobe=known.primaries == "adobergb")
    if curve is None or primaries.equal_rgb is not None:
        return None
    red, green, blue = colorants_d50(space).T
    return _profile(
        {
            b"desc": _text(words or space),
            b"cprt": _text("No rights reserved"),
            b"wtpt": _xyz_tag(D50_XYZ),
            b"chad": b"sf32" + bytes(4) + _fixed(*_to_d50(primaries.white).ravel()),
            b"rXYZ": _xyz_tag(red),
            b"gXYZ": _xyz_tag(green),
            b"bXYZ": _xyz_tag(blue),
            b"rTRC": curve,
            b"gTRC": curve,
            b"bTRC": curve,
        }
    )


def colorants_d50(space: str) -> Matrix:
    """Return the matrix from linear RGB of a space to X, Y, Z under D50, one primary a column.

    Examples
    --------
    >>> [round(float(x), 4) for x in colorants_d50("lin_ap1_scene").sum(axis=1)]
    [0.9642, 1.0, 0.8249]
    """
    primaries = primaries_of(space)
    return np.asarray(_to_d50(primaries.white) @ rgb_to_xyz_matrix(primaries))


def _to_d50(white: Chromaticity) -> Matrix:
    gains = (BRADFORD @ D50_XYZ) / (BRADFORD @ xy_to_xyz(white))
    return np.asarray(np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD)


def _curve(name: Curve, *, adobe: bool) -> bytes | None:
    if name == "g22" and adobe:
        return b"para" + bytes(4) + struct.pack(">HH", 0, 0) + _fixed(ADOBE_POWER)
    if name == "srgb":
        return b"para" + bytes(4) + struct.pack(">HH", 3, 0) + _fixed(*_SRGB)
    if name in POWERS:
        return b"para" + bytes(4) + struct.pack(">HH", 0, 0) + _fixed(POWERS[name])
    return None


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
