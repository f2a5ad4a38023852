"""What an ICC profile does, by its primaries and its curves; its description counts for nothing.

Source: ICC.1 (profile versions 2 and 4): big-endian, 128-byte header, then a table of tags.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import Curve, Primaries
from primecoat.colour.primaries import BRADFORD
from primecoat.images.cicp import judge_code_points
from primecoat.images.curves import fit_curve
from primecoat.images.encodings import CHROMATICITIES, WORDS, match_primaries, reading_of
from primecoat.images.icc_curves import CODES, sample_curve

Kind = Literal["rgb", "grey", "cmyk", "lut", "unreadable"]

CURVE_TOLERANCE = 0.5
"""Greatest error of a curve match, in 8-bit codes."""

PRIMARIES_TOLERANCE = 0.002
"""Greatest error of a primaries match, in CIE x or y (profiles round what they adapt)."""

_STEEPEST_LIGHTNESS = 300.0 / 116.0
"""Slope of CIE Y over L* at white, where it is steepest: how far a step of the table spreads."""

_MOST_TAGS = 200
_PCS_WHITE = np.array([0.9642, 1.0, 0.8249])
_NOT_EVALUATED = "it holds tables, not curves, and its meaning was not evaluated"
_TABLE_TAGS = (b"A2B0", b"A2B1", b"A2B2", b"D2B0", b"D2B1", b"D2B2", b"D2B3")

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class IccFacts:
    """What a profile turns out to be.

    Parameters
    ----------
    reading
        Color Interop ID of the same curve and primaries, or None. A grey profile gets the
        Rec.709 ID of its curve: neutral colours are the same in all primaries of one white.
    kind
        ``rgb`` (matrix and curves), ``grey``, ``cmyk``, ``lut`` (look-up tables) or
        ``unreadable``.
    primaries
        Known primaries that the colorants match, or None.
    curve
        The nearest transfer function, or None.
    curve_error
        How far the curve is from it at worst, in 8-bit codes.
    words
        The finding in words.
    """

    reading: str | None
    kind: Kind
    primaries: Primaries | None = None
    curve: Curve | None = None
    curve_error: float | None = None
    words: str


def classify_profile(data: bytes) -> IccFacts:
    """Tell what an ICC profile does.

    Never raises: what cannot be understood is of kind ``unreadable``.
    """
    if len(data) < 132 or data[36:40] != b"acsp":
        return IccFacts(reading=None, kind="unreadable", words="not an ICC profile")
    space = data[16:20].decode("latin-1").strip()
    tags = _tags(data)
    tables = any(tag in tags for tag in _TABLE_TAGS)
    if space == "CMYK":
        held = f"; {_NOT_EVALUATED}" if tables else ""
        words = f"a CMYK profile{held}; only a conversion through the profile gives RGB"
        return IccFacts(reading=None, kind="cmyk", words=words)
    if space == "GRAY" and not tables:
        return _grey(tags, data[20:24])
    if space != "RGB" or tables:
        return _tables(space, tags)
    return _matrix_profile(tags, data[20:24])


def _tags(data: bytes) -> dict[bytes, bytes]:
    """Return the tag elements by signature; those that lie outside the data are left out."""
    count = min(int.from_bytes(data[128:132], "big"), _MOST_TAGS)
    found: dict[bytes, bytes] = {}
    for at in range(132, min(132 + 12 * count, len(data) - 11), 12):
        signature, offset, size = struct.unpack_from(">4sII", data, at)
        if offset >= 128 and offset + size <= len(data):
            found.setdefault(signature, data[offset : offset + size])
    return found


def _tables(space: str, tags: dict[bytes, bytes]) -> IccFacts:
    """Return what a profile of look-up tables is: known only by its code points, if it has any.

    Tables come before a curve and a matrix that stand in the profile too (ICC.1:2022, section
    8.10.2), also in a grey one.

    Source: ICC.1:2022 (version 4.4), cicpType: signature, four reserved bytes, four code points.
    """
    named = {"": "unnamed", "GRAY": "grey"}.get(space, space)
    words = f"a profile of look-up tables for {named} numbers"
    element = tags.get(b"cicp", b"")
    if space == "RGB" and element[:4] == b"cicp" and len(element) >= 12:
        judged = judge_code_points(element[8:12])
        words += f", with code points {judged.words}"
        return IccFacts(reading=judged.reading, kind="lut", words=words)
    return IccFacts(reading=None, kind="lut", words=f"{words}; {_NOT_EVALUATED}")


def _grey(tags: dict[bytes, bytes], connection: bytes) -> IccFacts:
    """Return what a grey profile is; its curve gives light, or CIE lightness if it connects to Lab.

    Source: ICC.1:2022, section 8.3.4 (monochrome input profiles) and Annex F.2.
    """
    fit = _fit([tags.get(b"kTRC", b"")], lightness=connection == b"Lab ")
    if fit is None:
        return IccFacts(reading=None, kind="grey", words="a grey profile without a usable curve")
    curve, error = fit
    close = error <= CURVE_TOLERANCE
    return IccFacts(
        reading=reading_of(curve, "rec709") if close else None,
        kind="grey",
        curve=curve,
        curve_error=error,
        words=f"a grey profile: {_curve_words(curve, error)}",
    )


def _matrix_profile(tags: dict[bytes, bytes], connection: bytes) -> IccFacts:
    columns = [_xyz(tags.get(tag, b"")) for tag in (b"rXYZ", b"gXYZ", b"bXYZ")]
    fit = _fit([tags.get(tag, b"") for tag in (b"rTRC", b"gTRC", b"bTRC")])
    colorants = [column for column in columns if column is not None]
    if len(colorants) < 3 or fit is None or connection != b"XYZ ":
        words = "an RGB profile without usable colorants and curves"
        return IccFacts(reading=None, kind="unreadable", words=words)
    curve, error = fit
    primaries = _primaries(np.column_stack(colorants), _chad(tags.get(b"chad", b"")))
    close = error <= CURVE_TOLERANCE
    where = f"{WORDS[primaries]} primaries" if primaries else "primaries of no known space"
    return IccFacts(
        reading=reading_of(curve, primaries) if close else None,
        kind="rgb",
        primaries=primaries,
        curve=curve,
        curve_error=error,
        words=f"a matrix profile: {where}, {_curve_words(curve, error)}",
    )


def _fit(elements: list[bytes], *, lightness: bool = False) -> tuple[Curve, float] | None:
    """Return the curve that fits all channels and the worst error, or None."""
    fits: list[tuple[Curve, float]] = []
    for element in dict.fromkeys(elements):
        sampled = sample_curve(element)
        if sampled is None:
            return None
        light, quantum = sampled.light, sampled.quantum
        if lightness:
            light, quantum = _light_of(light), quantum * _STEEPEST_LIGHTNESS
        fits.append(fit_curve(CODES, light, quantum))
    if len({curve for curve, _ in fits}) > 1:
        return fits[0][0], 255.0
    return max(fits, key=lambda fit: fit[1])


def _light_of(lightness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return CIE Y of CIE L* (1 stands for 100). Source: CIE 15:2018, section 8.2.1."""
    root = (100.0 * lightness + 16.0) / 116.0
    return np.where(root > 6 / 29, root**3, 3 * (6 / 29) ** 2 * (root - 4 / 29))


def _curve_words(curve: Curve, error: float) -> str:
    near = "" if error <= CURVE_TOLERANCE else "a curve of no known space, nearest to "
    return f"{near}{WORDS[curve]} (off by {error:.2f} of an 8-bit code at most)"


def _xyz(element: bytes) -> Matrix | None:
    if len(element) < 20 or element[:4] != b"XYZ ":
        return None
    return np.array(struct.unpack_from(">3i", element, 8)) / 65536.0


def _chad(element: bytes) -> Matrix | None:
    """Return the matrix that adapted the colorants to the connection space, or None."""
    if len(element) < 44 or element[:4] != b"sf32":
        return None
    matrix = np.array(struct.unpack_from(">9i", element, 8)).reshape(3, 3) / 65536.0
    return matrix if abs(np.linalg.det(matrix)) > 1e-6 else None


def _primaries(colorants: Matrix, chad: Matrix | None) -> Primaries | None:
    """Match colorants (columns of XYZ under D50) after undoing their adaptation.

    Without a ``chad`` tag (version 2) the adaptation is taken as Bradford from the white of each
    known space in turn; colorants that add up to that very white were never adapted.
    """
    if chad is not None:
        xy = _chromaticities(np.linalg.inv(chad) @ colorants)
        return match_primaries(xy, PRIMARIES_TOLERANCE) if xy else None
    for name, known in CHROMATICITIES.items():
        for undone in (np.linalg.inv(_adaptation(known[6:])), np.eye(3)):
            xy = _chromaticities(undone @ colorants)
            if xy and match_primaries(xy, PRIMARIES_TOLERANCE) == name:
                return name
    return None


def _adaptation(white: tuple[float, ...]) -> Matrix:
    """Return the Bradford matrix from a white (CIE xy) to the profile connection space."""
    x, y = white
    source = BRADFORD @ np.array([x / y, 1.0, (1 - x - y) / y])
    scale: Matrix = np.linalg.inv(BRADFORD) @ np.diag(BRADFORD @ _PCS_WHITE / source) @ BRADFORD
    return scale


def _chromaticities(native: Matrix) -> tuple[float, ...] | None:
    columns = np.column_stack([native, native.sum(axis=1)])
    total = columns.sum(axis=0)
    if np.any(np.abs(total) < 1e-6):
        return None
    return tuple(float(v) for v in (columns[:2] / total).T.ravel())
