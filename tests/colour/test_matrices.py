"""RGB to RGB conversions against the published matrices."""

from __future__ import annotations

import numpy as np
import pytest
from tests.colour.reference import matrices

from primecoat.colour.ocio import convert

FLOAT32 = 1e-6
"""Conversions run in float32: figures of size 1 hold to about seven digits."""

INTEROP = "matrices__color-interop-forum-rec01.csv"
SPACES = {
    "rec709": "lin_rec709_scene",
    "p3d65": "lin_p3d65_scene",
    "rec2020": "lin_rec2020_scene",
    "adobergb": "lin_adobergb_scene",
    "ap0": "lin_ap0_scene",
    "ap1": "lin_ap1_scene",
}


def converted(source: str, target: str) -> np.ndarray:
    """Return the matrix that a conversion amounts to: its columns are the converted primaries."""
    return convert(np.eye(3), source, target).astype(np.float64).T


@pytest.mark.parametrize("name", sorted(matrices(INTEROP)))
def test_published_matrices(name: str):
    """Each primary lands where the Color Interop Forum's Rec. 01 (v1.1.0) says, to 1e-6."""
    source, _, target, _ = name.split("_")
    found = converted(SPACES[source], SPACES[target])
    assert np.abs(found - matrices(INTEROP)[name]).max() <= FLOAT32


def test_product_is_made_of_the_published_two():
    """The Rec.709 to AP1 figures are the product of the two published matrices, to 1e-14."""
    published = matrices(INTEROP)
    product = np.linalg.inv(published["ap1_to_ap0_bradford"]) @ published["rec709_to_ap0_bradford"]
    assert np.abs(product - published["rec709_to_ap1_bradford"]).max() <= 1e-14


@pytest.mark.parametrize(
    ("name", "source", "target"),
    [
        ("ap0_to_ap1_TRA1", "lin_ap0_scene", "lin_ap1_scene"),
        ("ap1_to_ap0_TRA2", "lin_ap1_scene", "lin_ap0_scene"),
    ],
)
def test_aces_documentation(name: str, source: str, target: str):
    """AP0 and AP1 convert by TRA1 and TRA2 of the ACES documentation (10 digits), to 1e-6."""
    published = matrices("matrices__aces-documentation.csv")[name]
    assert np.abs(converted(source, target) - published).max() <= FLOAT32


def test_back_to_rec709():
    """ACEScg goes back to linear Rec.709 by the matrix of MaterialX 1.39 (13 digits), to 2e-6."""
    published = matrices("matrices__materialx-1.39.csv")["ap1_to_rec709_bradford_13sig"]
    found = converted("lin_ap1_scene", "lin_rec709_scene")
    assert np.abs(found - published).max() <= 2 * FLOAT32


@pytest.mark.parametrize("space", [*SPACES.values(), "srgb_rec709_scene", "srgb_p3d65_scene"])
def test_white_stays_white(space: str):
    """White of any space is white in the working space, to 1e-6: adaptation is exact."""
    assert np.abs(convert((1.0, 1.0, 1.0), space, "lin_ap1_scene") - 1.0).max() <= FLOAT32


@pytest.mark.parametrize("source", ["rec709", "p3d65", "rec2020", "adobergb"])
def test_no_negative_appears(source: str):
    """From these sets to AP1 no term is negative, so that no albedo can turn negative."""
    assert converted(SPACES[source], "lin_ap1_scene").min() >= 0.0


@pytest.mark.parametrize(
    ("values", "source", "target", "expected"),
    [
        # computed in float64 from the published constants
        (
            (0.5, 0.4, 0.3),
            "lin_rec709_scene",
            "lin_ap1_scene",
            (0.456571795099, 0.405674132400, 0.315080095870),
        ),
        (
            (200 / 255, 100 / 255, 50 / 255),
            "srgb_rec709_scene",
            "lin_ap1_scene",
            (0.398892326458, 0.157749612091, 0.053614117265),
        ),
        ((128 / 255,) * 3, "srgb_rec709_scene", "lin_ap1_scene", (0.215860500114,) * 3),
        # published: OpenColorIO, BuiltinTransform_tests.cpp, tolerance 1e-6
        (
            (0.5, 0.4, 0.3),
            "lin_ap1_scene",
            "lin_rec709_scene",
            (0.578830986466, 0.388029190156, 0.282302431033),
        ),
        # first column of the product of the published matrices
        (
            (1.0, 0.0, 0.0),
            "lin_rec709_scene",
            "lin_ap1_scene",
            (0.613097402401, 0.070193722470, 0.020615592882),
        ),
    ],
)
def test_points(values, source: str, target: str, expected):
    """Single colours come out as published or as worked out from published constants, to 1e-6."""
    assert convert(values, source, target) == pytest.approx(expected, abs=FLOAT32)


def test_shape_type_and_input():
    """A picture keeps its shape, comes out as float32, and the input is left as it was."""
    given = np.linspace(-1.0, 2.0, 2 * 5 * 3).reshape(2, 5, 3)
    before = given.copy()
    found = convert(given, "lin_rec709_scene", "lin_ap1_scene")
    assert found.shape == (2, 5, 3)
    assert found.dtype.name == "float32"
    assert np.array_equal(given, before)
    expected = given @ matrices(INTEROP)["rec709_to_ap1_bradford"].T
    assert np.abs(found - expected).max() <= 2 * FLOAT32
