"""Labels of shown pictures, read back by another library and chunk by chunk."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
from PIL import Image, ImageCms

from primecoat.report.shown.png import label, png

CODES = np.random.default_rng(5).random((7, 9, 3)).astype(np.float32)


def chunks(data: bytes) -> dict[bytes, bytes]:
    """Return the chunks of a PNG by type."""
    found, at = {}, 8
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        found[kind] = data[at + 8 : at + 8 + length]
        at += 12 + length
    return found


def test_srgb_has_an_srgb_chunk_and_the_pixels() -> None:
    data = png(CODES, "srgb_rec709_display")
    picture = Image.open(io.BytesIO(data))
    assert picture.info["srgb"] == 0  # rendering intent: perceptual
    assert np.array_equal(np.asarray(picture), np.rint(CODES * 255))
    assert not {b"cICP", b"iCCP"} & {*chunks(data)}


def test_display_p3_has_code_points_and_a_profile() -> None:
    data = png(CODES, "srgb_p3d65_display")
    # ITU-T H.273: primaries 12 (SMPTE EG 432-1), transfer 13 (IEC 61966-2-1), RGB, full range
    assert chunks(data)[b"cICP"] == bytes((12, 13, 0, 1))
    picture = Image.open(io.BytesIO(data))
    profile = ImageCms.ImageCmsProfile(io.BytesIO(picture.info["icc_profile"]))
    assert ImageCms.getProfileDescription(profile).strip() == "Display P3"
    # the profile's red, as the colour library sees it: P3-D65 red adapted to D50 (ICC.1, D50)
    red = profile.profile.red_colorant
    assert red is not None
    x, y, _ = red[1]
    assert (x, y) == pytest.approx((0.680, 0.320), abs=0.02)


@pytest.mark.parametrize(
    ("display", "points"),
    [
        ("pq_rec2020_display", (9, 16)),
        ("hlg_rec2020_display", (9, 18)),
        ("pq_p3d65_display", (12, 16)),
        ("g22_rec709_display", (1, 4)),
    ],
)
def test_other_displays_have_code_points(display: str, points: tuple[int, int]) -> None:
    # ITU-T H.273, tables 2 and 3
    assert chunks(png(CODES, display))[b"cICP"] == bytes((*points, 0, 1))
    assert label(display) == f"cICP {points[0]}/{points[1]}"


def test_a_display_without_an_id_has_no_label() -> None:
    assert {*chunks(png(CODES, None))} == {b"IHDR", b"IDAT", b"IEND"}
