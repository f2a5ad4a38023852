"""Primaries, white points and float64 matrices against published figures."""

from __future__ import annotations

import numpy as np
import pytest
from tests.colour.reference import matrices, rows

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import (
    ACES_WHITE,
    D65,
    PRIMARIES,
    RgbPrimaries,
    bradford_matrix,
    primaries_of,
    rgb_to_rgb_matrix,
    rgb_to_xyz_matrix,
    xy_to_rgb,
    xyz_to_xy,
)
from primecoat.errors import UseError

FLOAT64 = 5e-15
"""What figures of size 1, printed to 15 digits, can be held to."""

NAMED: dict[str, RgbPrimaries] = {str(name): found for name, found in PRIMARIES.items()}
INTEROP = matrices("matrices__color-interop-forum-rec01.csv")
ACES = matrices("matrices__aces-dev-1.3.csv")
CSS = matrices("matrices__w3c-css-color-4.csv")
D50 = (0.3457, 0.3585)  # W3C, CSS Color Module Level 4


def test_published_primaries():
    """Every set but CIE XYZ is one that a document prints, and none is missing."""
    for row in rows("primaries__published.csv"):
        found = NAMED[row["name"]]
        for point in ("red", "green", "blue", "white"):
            wanted = (float(row[f"{point}_x"]), float(row[f"{point}_y"]))
            assert getattr(found, point) == wanted, (row["name"], point)
    named = {row["name"] for row in rows("primaries__published.csv")}
    assert set(PRIMARIES) == named | {"ciexyzd65"} == {s.primaries for s in SPACES.values()}


@pytest.mark.parametrize("name", sorted(INTEROP))
def test_interop_matrices(name: str):
    """Derived in float64, each matrix is the Color Interop Forum's (Rec. 01 v1.1.0) to 5e-15.

    Those to AP1 are products of two printed ones, with the rounding of both.
    """
    source, _, target, _ = name.split("_")
    found = rgb_to_rgb_matrix(NAMED[source], NAMED[target])
    assert np.abs(found - INTEROP[name]).max() <= (FLOAT64 if target == "ap0" else 2 * FLOAT64)


@pytest.mark.parametrize("name", ["rec709", "p3d65", "rec2020", "adobergb"])
def test_css_matrices(name: str):
    """RGB to X, Y, Z is the exact rational matrix of CSS Color 4, to 5e-15."""
    found = rgb_to_xyz_matrix(NAMED[name])
    assert np.abs(found - CSS[f"{name}_to_xyz_css"]).max() <= FLOAT64


@pytest.mark.parametrize("name", [name for name in ACES if "_xyz" in name or "xyz_" in name])
def test_aces_matrices(name: str):
    """RGB to X, Y, Z and back is what aces-dev v1.3 prints, to its 10 decimals."""
    rgb = name.removeprefix("xyz_to_").removesuffix("_to_xyz")
    to_xyz = rgb_to_xyz_matrix(NAMED[rgb])
    found = np.linalg.inv(to_xyz) if name.startswith("xyz") else to_xyz
    assert np.abs(found - ACES[name]).max() <= 6e-11


def test_bradford():
    """Adaptation is that of CSS Color 4 (to 5e-15) and of aces-dev v1.3 (to its 6 digits)."""
    assert np.abs(bradford_matrix(D65, D50) - CSS["cat_bradford_d65_to_d50"]).max() <= FLOAT64
    assert np.abs(bradford_matrix(D50, D65) - CSS["cat_bradford_d50_to_d65"]).max() <= FLOAT64
    to_d65 = bradford_matrix(ACES_WHITE, D65)
    assert np.abs(to_d65 - ACES["cat_bradford_aces_to_d65"]).max() <= 5e-6  # 1.08168
    assert np.abs(bradford_matrix(D65, D65) - np.eye(3)).max() <= FLOAT64


LINEAR = [space.id for space in SPACES.values() if space.linear]


@pytest.mark.parametrize("source", LINEAR)
@pytest.mark.parametrize("target", LINEAR)
def test_agrees_with_the_conversions_of_pictures(source: str, target: str):
    """The matrices are those that OpenColorIO converts pictures with, to its float32."""
    found = rgb_to_rgb_matrix(primaries_of(source), primaries_of(target))
    converted = convert(np.eye(3), source, target).astype(np.float64).T
    assert np.abs(found - converted).max() <= 1e-6 * np.abs(found).max()


def test_white_is_white_everywhere():
    """Each white, seen by an eye adapted to it, is (1, 1, 1) in each set that has one."""
    for source in PRIMARIES.values():
        for name, target in PRIMARIES.items():
            if name != "ciexyzd65":
                rgb = xy_to_rgb(source.white, target, adapt_from=source.white)
                assert rgb == pytest.approx((1.0, 1.0, 1.0), abs=1e-12)
    # Color Interop Forum: lin_ciexyzd65_scene has X, Y, Z of D65 for white
    assert xy_to_rgb(D65, PRIMARIES["ciexyzd65"]) == pytest.approx(
        (0.950456, 1.0, 1.089058), abs=1e-6
    )


def test_chromaticity_there_and_back():
    """RGB of luminance 1 that nothing adapted measures the chromaticity it was made from."""
    for primaries in PRIMARIES.values():
        to_xyz = rgb_to_xyz_matrix(primaries)
        for xy in [(0.4234, 0.3990), (0.1, 0.8), (0.3127, 0.3290), (0.16, 0.02)]:
            xyz = to_xyz @ xy_to_rgb(xy, primaries)
            assert xyz[1] == pytest.approx(1.0, abs=1e-12)
            assert xyz_to_xy(xyz) == pytest.approx(xy, abs=1e-12)


def test_primaries_are_their_own_axes():
    """A chromaticity that is a primary lights one channel only; one outside goes negative."""
    for primaries in PRIMARIES.values():
        for axis, point in enumerate((primaries.red, primaries.green, primaries.blue)):
            if point[1] > 0.0:
                rgb = np.array(xy_to_rgb(point, primaries))
                assert np.abs(np.delete(rgb, axis)).max() <= 1e-12 * abs(rgb[axis])
    assert min(xy_to_rgb((0.170, 0.797), PRIMARIES["rec709"])) < 0.0


@pytest.mark.parametrize("xy", [(0.3, 0.0), (0.0001, -0.077), (float("nan"), 0.3), (0.3, np.inf)])
def test_chromaticity_without_luminance_is_refused(xy: tuple[float, float]):
    """No light measures such a chromaticity."""
    with pytest.raises(UseError, match="no luminance"):
        xy_to_rgb(xy, PRIMARIES["ap1"])


@pytest.mark.parametrize("space", ["data", "unknown", "moonlight"])
def test_space_without_primaries_is_refused(space: str):
    """Data has no primaries, and neither has a name that nobody knows."""
    with pytest.raises(UseError, match="no primaries"):
        primaries_of(space)
