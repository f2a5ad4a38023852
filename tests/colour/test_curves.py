"""The sRGB curve and the gamma curves, also where a picture should not be: below 0, above 1."""

from __future__ import annotations

import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.ocio import convert

POINTS = rows("transfer-points__color-interop-forum-rec01.csv")
PAIRS = {
    "srgb_cif": ("srgb_rec709_scene", "lin_rec709_scene"),
    "gamma_1.8": ("g18_rec709_scene", "lin_rec709_scene"),
    "gamma_2.2": ("g22_rec709_scene", "lin_rec709_scene"),
    "gamma_2.4": ("g24_rec709_scene", "lin_rec709_scene"),
    "gamma_adobe_563_256": ("g22_adobergb_scene", "lin_adobergb_scene"),
}
TOLERANCE = 1e-6
"""Of the greater of 1 and the value. OpenColorIO works in float32; the toe of its sRGB curve is
off by up to 6e-7 from the curve in float64."""


@pytest.mark.parametrize(
    "point", POINTS, ids=[f"{p['function']} {p['direction']} {p['input']}" for p in POINTS]
)
def test_points(point: dict[str, str]):
    """Every point of the Recommendation's curves comes out, to 1e-6 (relative above 1)."""
    encoded, linear = PAIRS[point["function"]]
    pair = (encoded, linear) if point["direction"] == "decode" else (linear, encoded)
    expected = float(point["output"])
    found = convert((float(point["input"]),) * 3, *pair)
    assert np.abs(found - expected).max() <= TOLERANCE * max(1.0, abs(expected))


def test_reference_holds_negatives_and_bright_values():
    """The file of points does ask for values below 0 and above 1, both ways."""
    asked = [(p["direction"], float(p["input"])) for p in POINTS if p["function"] == "srgb_cif"]
    for direction in ("decode", "encode"):
        assert min(v for d, v in asked if d == direction) < 0.0
        assert max(v for d, v in asked if d == direction) > 1.0


def test_all_8_bit_codes_against_the_standard():
    """All 256 codes decode as IEC 61966-2-1:1999 says, to 1e-6 (its 4-digit breaks cost 7.6e-7)."""
    codes = np.arange(256) / 255
    standard = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    found = convert(np.repeat(codes[:, None], 3, 1), "srgb_rec709_scene", "lin_rec709_scene")
    assert np.abs(found - standard[:, None]).max() <= TOLERANCE


def test_codes_survive_the_way_there_and_back():
    """All 8-bit codes come back from the working space unchanged."""
    codes = np.stack(np.meshgrid(*[np.arange(0, 256, 15)] * 3), -1).reshape(-1, 3)
    there = convert(codes / 255, "srgb_rec709_scene", "lin_ap1_scene")
    back = convert(there, "lin_ap1_scene", "srgb_rec709_scene")
    assert np.array_equal(np.rint(back * 255).astype(int), codes)


def test_maths_is_not_optimised():
    """An sRGB decode is exact to 1e-6, where the library's shortcut is off by up to 2.4e-5."""
    values = np.linspace(0.0, 1.0, 4001)
    gamma, offset = 2.4, 0.055
    slope = (gamma - 1) / offset * (offset * gamma / ((gamma - 1) * (1 + offset))) ** gamma
    exact = np.where(
        values <= offset / (gamma - 1),
        values * slope,
        ((values + offset) / (1 + offset)) ** gamma,
    )  # Color Interop Forum, Rec. 01 v1.1.0, Annex B
    found = convert(np.repeat(values[:, None], 3, 1), "srgb_rec709_scene", "lin_rec709_scene")
    assert np.abs(found - exact[:, None]).max() <= TOLERANCE
