"""Gamut membership against plain geometry, and the nearest colour against brute force."""

from __future__ import annotations

import numpy as np
import pytest

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.gamut import GAMUTS, membership
from primecoat.colour.primaries import (
    D65,
    PRIMARIES,
    Chromaticity,
    bradford_matrix,
    rgb_to_xyz_matrix,
    xy_to_xyz,
)

REC709_TO_XYZ = rgb_to_xyz_matrix(PRIMARIES["rec709"])


def in_triangle(xy: Chromaticity, corners: tuple[Chromaticity, ...]) -> bool:
    """Whether a point lies in a triangle: on the same side of all edges."""
    sides = []
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        sides.append((x2 - x1) * (xy[1] - y1) - (y2 - y1) * (xy[0] - x1))
    return min(sides) >= 0 or max(sides) <= 0


@pytest.mark.parametrize("name", GAMUTS)
def test_membership_is_that_of_the_triangle(name):
    """The published primaries span the gamut; a colour of white D65 is adapted to its white."""
    primaries = PRIMARIES[name]
    adapt = bradford_matrix(D65, primaries.white)
    answers = set()
    for x, y in np.random.default_rng(1).uniform((0.05, 0.05), (0.7, 0.75), (300, 2)):
        if x + y >= 0.98:
            continue
        xyz = xy_to_xyz((x, y))
        adapted = adapt @ xyz
        place = float(adapted[0] / adapted.sum()), float(adapted[1] / adapted.sum())
        wanted = in_triangle(place, (primaries.red, primaries.green, primaries.blue))
        found = membership(np.asarray(np.linalg.inv(REC709_TO_XYZ) @ xyz, dtype=np.float64), name)
        assert found.inside is wanted, (x, y)
        answers.add(found.inside)
    assert answers == {True, False}


@pytest.mark.parametrize("name", ["rec709", "p3d65", "rec2020"])
@pytest.mark.parametrize("rgb", [(-0.3, 0.5, 0.4), (0.9, -0.2, 0.1), (0.2, -0.1, 1.1)])
def test_no_colour_of_a_fine_grid_is_nearer(rgb, name):
    rec709 = np.array(rgb)
    found = membership(rec709, name)
    axis = np.linspace(0.0, 1.25, 60) ** 3
    grid = np.stack(np.meshgrid(axis, axis, axis), axis=-1).reshape(-1, 3)
    wanted = lab(REC709_TO_XYZ @ rec709)
    to_xyz = rgb_to_xyz_matrix(PRIMARIES[name])
    best = float(ciede2000(wanted, lab(grid @ to_xyz.T)).min())
    assert min(found.rgb) >= 0.0
    told = float(ciede2000(wanted, lab(to_xyz @ np.array(found.rgb))))
    assert found.difference == pytest.approx(told if not found.inside else 0.0, abs=1e-9)
    assert found.difference <= best + 1e-6
    assert found.difference == pytest.approx(best, abs=1.0) or found.inside
