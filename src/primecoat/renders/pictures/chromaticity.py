"""The chromaticities of two pictures, with the gamuts around them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, Primaries
from primecoat.colour.locus import spectral_locus
from primecoat.colour.primaries import D65, PRIMARIES, bradford_matrix, rgb_to_xyz_matrix, xy_to_xyz
from primecoat.images.encodings import WORDS
from primecoat.renders.pictures.lettering import text_width, write

Picture = NDArray[np.float32]
"""Shape (height, width, 3), or (n, 3) for light."""
Floats = NDArray[np.float64]

_SIZE = 720
_EDGE = 40
_LEFT, _TOP, _SPAN = -0.05, 0.95, 1.0
"""Least x, greatest y, and how much of either is shown."""

_SHADES: dict[Primaries, tuple[float, float, float]] = {
    "rec709": (0.95, 0.95, 0.95),
    "p3d65": (0.55, 0.95, 0.65),
    "rec2020": (0.95, 0.90, 0.45),
    "ap1": (0.80, 0.60, 0.95),
}

COLOUR_A = (1.0, 0.55, 0.2)
COLOUR_B = (0.3, 0.65, 1.0)


def chromaticity_plot(a: Picture, b: Picture, linear: str | None) -> Picture:
    """Return CIE 1931 xy of both pictures: A orange, B blue, both near white.

    Everything is adapted to D65 by Bradford, so that the whites lie on each other.

    Parameters
    ----------
    a, b
        Light, shape (n, 3).
    linear
        Space of the light; None for X, Y, Z under D65.
    """
    picture = np.full((_SIZE, _SIZE, 3), (0.06, 0.06, 0.07), np.float32)
    _grid(picture)
    picture += _cloud(_xy(a, linear))[..., None] * np.array(COLOUR_A, np.float32)
    picture += _cloud(_xy(b, linear))[..., None] * np.array(COLOUR_B, np.float32)
    np.clip(picture, 0, 1, out=picture)
    locus = spectral_locus()
    _line(picture, np.vstack([locus, locus[:1]]), (0.5, 0.5, 0.5))
    for at, (name, shade) in enumerate(_SHADES.items()):
        corners = _corners(name)
        _line(picture, np.vstack([corners, corners[:1]]), shade)
        words = WORDS[name]
        write(picture, words, _EDGE + 14 * at, _SIZE - 160, colour=shade)
    write(picture, "A", _EDGE + 70, _SIZE - 160, scale=2, colour=COLOUR_A)
    write(picture, "B", _EDGE + 70, _SIZE - 130, scale=2, colour=COLOUR_B)
    write(
        picture,
        "CIE 1931 XY, WHITE D65. A ORANGE, B BLUE, BOTH NEAR WHITE",
        12,
        _EDGE,
        colour=(0.85, 0.85, 0.85),
    )
    return picture


def _to_xyz(linear: str | None) -> Floats:
    if linear is None:
        return np.eye(3)
    own = PRIMARIES[SPACES[linear].primaries]
    return bradford_matrix(own.white, D65) @ rgb_to_xyz_matrix(own)


def _xy(light: Picture, linear: str | None) -> Floats:
    xyz = light.astype(np.float64) @ _to_xyz(linear).T
    total = xyz.sum(axis=1)
    bright = total > 1e-3 * max(float(np.median(total)) if len(total) else 0.0, 1e-9)
    return np.asarray(xyz[bright, :2] / total[bright, None])


def _corners(name: Primaries) -> Floats:
    own = PRIMARIES[name]
    adapted = bradford_matrix(own.white, D65)
    xyz = [
        adapted @ (xy_to_xyz(point) if point[1] > 0 else np.array([*point, 1 - sum(point)]))
        for point in (own.red, own.green, own.blue)
    ]
    return np.array([value[:2] / value.sum() for value in xyz])


def _places(xy: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.bool_]]:
    pixels = (_SIZE - 1) / _SPAN
    columns = np.rint((xy[:, 0] - _LEFT) * pixels).astype(np.intp)
    rows = np.rint((_TOP - xy[:, 1]) * pixels).astype(np.intp)
    seen = (rows >= 0) & (rows < _SIZE) & (columns >= 0) & (columns < _SIZE)
    return rows, columns, seen


def _cloud(xy: Floats) -> Picture:
    rows, columns, seen = _places(xy)
    counts = np.bincount(rows[seen] * _SIZE + columns[seen], minlength=_SIZE * _SIZE)
    density = counts.reshape(_SIZE, _SIZE).astype(np.float64)
    most = np.log1p(density.max()) or 1.0
    return np.asarray(np.where(density > 0, 0.25 + 0.5 * np.log1p(density) / most, 0), np.float32)


def _line(picture: Picture, points: Floats, colour: tuple[float, float, float]) -> None:
    for start, end in pairwise(points):
        count = 2 + int(np.abs(end - start).max() * _SIZE * 1.5)
        steps = np.linspace(0, 1, count)[:, None]
        rows, columns, seen = _places(start + steps * (end - start))
        picture[rows[seen], columns[seen]] = colour


def _grid(picture: Picture) -> None:
    for tenth in range(10):
        value = tenth / 10
        rows, columns, _ = _places(np.array([[value, value]]))
        picture[:, columns[0]] = np.maximum(picture[:, columns[0]], 0.13)
        picture[rows[0], :] = np.maximum(picture[rows[0], :], 0.13)
        label = f"{value:.1f}"
        write(
            picture, label, _SIZE - 12, int(columns[0]) - text_width(label) // 2, colour=(0.6,) * 3
        )
        write(picture, label, int(rows[0]) - 3, 4, colour=(0.6,) * 3)
