"""Where the colours of a picture lie in CIE 1976 u'v', beside the gamuts.

Source: CIE 15:2018, section 8.2.1: u' = 4X / (X + 15Y + 3Z), v' = 9Y / (X + 15Y + 3Z).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES, Primaries
from primecoat.colour.locus import spectral_locus
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import D65, PRIMARIES, bradford_matrix, rgb_to_xyz_matrix, xy_to_xyz
from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.renders.corrections.light import linear_beside
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.bands import numbers, stored_bands
from primecoat.report.shown.frame import Box, framed
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.opened import Opened, open_picture
from primecoat.report.shown.state import config_state
from primecoat.report.shown.wanted import Wanted, check_wanted

Floats = NDArray[np.float64]
Point = tuple[float, float]

BIN = 1 / 256
"""Side of a bin in u' and v'."""

_ACROSS, _DOWN = 180, 180
"""Bins: u' and v' from 0 to 0.703."""

_DARK = 1e-4
"""X + Y + Z of the white-scaled light below which a pixel has no colour to speak of."""

_GAMUTS: tuple[Primaries, ...] = ("rec709", "p3d65", "rec2020", "ap1")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChromaticityOf:
    """Colours of every pixel of a box, white adapted to D65.

    Parameters
    ----------
    points
        u', v' of the middle of each bin that holds pixels, and how many.
    gamuts
        Triangles in u'v': red, green and blue of Rec.709, P3-D65, Rec.2020 and AP1.
    locus
        The spectral locus in u'v'.
    white
        u', v' of D65.
    pixels
        How many are in the bins.
    dark
        How many are too dark to have a colour.
    outside
        How many lie beyond the bins, or have no light by their sum.
    not_finite
        How many are NaN or infinite.
    """

    points: tuple[tuple[float, float, int], ...]
    gamuts: dict[str, tuple[Point, Point, Point]]
    locus: tuple[Point, ...]
    white: Point
    pixels: int
    dark: int
    outside: int
    not_finite: int


def chromaticity_of(image: ImageRecord | Path | str, wanted: Wanted) -> ChromaticityOf:
    """Return where the colours of a picture lie under a reading, every pixel counted.

    Raises
    ------
    UseError
        If the reading is no colour space, or its light cannot be computed channel by channel.
    """
    check_wanted(wanted)
    if not wanted.is_colour:
        raise UseError(
            f"Numbers read as {wanted.reading} have no chromaticity.", "Name a colour space."
        )
    opened = open_picture(image, layer=wanted.layer, frame=wanted.frame)
    box = framed((opened.width, opened.height), wanted.box).box
    key = ("uv", opened.source.key(), opened.planes, box, wanted.reading, config_state(wanted))
    return KEPT.get(
        key,
        lambda: in_worker(opened.source.name, _count, opened, wanted, box),
        lambda made: 100 * len(made.points),
    )


def _count(opened: Opened, wanted: Wanted, box: Box) -> ChromaticityOf:
    config = wanted.viewing.config
    linear = linear_beside(wanted.reading, config) or wanted.viewing.working
    own = PRIMARIES[SPACES[linear].primaries]
    to_xyz = bradford_matrix(own.white, D65) @ rgb_to_xyz_matrix(own)
    counts = np.zeros(_ACROSS * _DOWN, np.int64)
    dark = outside = broken = 0
    with opened.source.opened() as path:
        for _, band in stored_bands(path, opened.planes, box):
            values = numbers(band[..., : len(opened.planes.colour)])
            if values.shape[-1] != 3:
                values = np.repeat(values[..., :1], 3, axis=-1)
            flat = values.reshape(-1, 3)
            sound = np.isfinite(flat).all(axis=1)
            broken += int(len(flat) - np.count_nonzero(sound))
            light = convert(flat[sound], wanted.reading, linear, config)
            xyz = light @ to_xyz.T.astype(np.float32)
            lit = np.abs(xyz).sum(axis=1) > _DARK
            dark += int(len(xyz) - np.count_nonzero(lit))
            u, v = _uv(xyz[lit])
            inside = (u >= 0) & (v >= 0) & (u < _ACROSS * BIN) & (v < _DOWN * BIN)
            outside += int(len(u) - np.count_nonzero(inside))
            places = (v[inside] / BIN).astype(np.intp) * _ACROSS + (u[inside] / BIN).astype(np.intp)
            counts += np.bincount(places, minlength=_ACROSS * _DOWN)
    held = np.flatnonzero(counts)
    return ChromaticityOf(
        points=tuple(
            ((at % _ACROSS + 0.5) * BIN, (at // _ACROSS + 0.5) * BIN, int(counts[at]))
            for at in held.tolist()
        ),
        gamuts={name: _triangle(name) for name in _GAMUTS},
        locus=tuple(_from_xy(point) for point in spectral_locus().tolist()),
        white=_from_xy(list(D65)),
        pixels=int(counts.sum()),
        dark=dark,
        outside=outside,
        not_finite=broken,
    )


def _uv(xyz: NDArray[np.floating]) -> tuple[NDArray[np.floating], NDArray[np.floating]]:
    total = xyz[..., 0] + 15 * xyz[..., 1] + 3 * xyz[..., 2]
    safe = np.where(total > 0, total, np.nan)
    u, v = 4 * xyz[..., 0] / safe, 9 * xyz[..., 1] / safe
    return np.nan_to_num(u, nan=-1.0), np.nan_to_num(v, nan=-1.0)


def _from_xy(xy: list[float]) -> Point:
    below = -2 * xy[0] + 12 * xy[1] + 3
    return 4 * xy[0] / below, 9 * xy[1] / below


def _triangle(name: Primaries) -> tuple[Point, Point, Point]:
    own = PRIMARIES[name]
    adapted = bradford_matrix(own.white, D65)
    corners = []
    for point in (own.red, own.green, own.blue):
        u, v = _uv((adapted @ xy_to_xyz(point))[None])
        corners.append((float(u[0]), float(v[0])))
    return corners[0], corners[1], corners[2]
