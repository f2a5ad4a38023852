"""Profiles that we write, against published numbers and another library."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from primecoat.colour.ids import SPACES
from primecoat.images.icc import classify_profile
from primecoat.images.icc_write import colorants_d50, matrix_profile

UNDESCRIBED = {s for s, known in SPACES.items() if known.curve in ("pq", "hlg")} | {
    "lin_ciexyzd65_scene"
}


def test_display_p3_has_the_published_colorants() -> None:
    """Display P3 colorants under D50 as published with the profile, four decimals."""
    published = [[0.5151, 0.2920, 0.1571], [0.2412, 0.6922, 0.0666], [-0.0011, 0.0419, 0.7841]]
    assert np.allclose(colorants_d50("srgb_p3d65_scene"), published, atol=1e-4)


def test_adobe_rgb_has_the_published_colorants() -> None:
    """Adobe RGB (1998) Color Image Encoding, May 2005, annex A: ICC PCS matrix, five decimals."""
    published = [
        [0.60974, 0.20528, 0.14919],
        [0.31111, 0.62567, 0.06322],
        [0.01947, 0.06087, 0.74457],
    ]
    assert np.allclose(colorants_d50("g22_adobergb_scene"), published, atol=1e-4)


def test_adobe_rgb_has_its_own_power() -> None:
    """The curve is 2.19921875, not 2.2. Source: *Adobe RGB (1998)*, May 2005, 4.3.1.2."""
    for space, power in (("g22_adobergb_scene", 563 / 256), ("g22_rec709_scene", 2.2)):
        profile = matrix_profile(space) or b""
        at = profile.index(b"para") + 12
        assert int.from_bytes(profile[at : at + 4], "big") / 65536 == pytest.approx(power, abs=1e-5)


def test_profile_opens_in_another_library_and_p3_is_wider_than_srgb() -> None:
    """LittleCMS keeps grey grey and makes a P3 orange redder in sRGB."""
    profile = ImageCms.ImageCmsProfile(
        io.BytesIO(matrix_profile("srgb_p3d65_scene", "Display P3") or b"")
    )
    assert ImageCms.getProfileDescription(profile).strip() == "Display P3"
    to_srgb = ImageCms.buildTransform(profile, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    two = Image.fromarray(np.array([[[128, 128, 128], [200, 100, 50]]], np.uint8))
    shown = ImageCms.applyTransform(two, to_srgb)
    assert shown is not None
    grey, warm = np.asarray(shown).astype(int)[0]
    assert max(abs(value - 128) for value in grey) <= 1
    assert warm[0] > 210
    assert warm[2] < 40


@pytest.mark.parametrize("space", sorted(SPACES))
def test_every_space_reads_back_as_itself(space: str) -> None:
    """A written profile says its space to our reader, or there is none for that space."""
    profile = matrix_profile(space)
    if space in UNDESCRIBED:
        assert profile is None
        return
    assert profile is not None
    known, said = SPACES[space], SPACES[classify_profile(profile).reading or ""]
    assert (said.curve, said.primaries) == (known.curve, known.primaries)
