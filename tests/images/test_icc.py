"""ICC profiles are known by primaries and curve, never by their description."""

from __future__ import annotations

from typing import Any

import imagecodecs
import numpy as np
import pytest
from PIL import ImageCms
from tests.images import profiles as icc

from primecoat.images.icc import classify_profile


def table(exponent: float, count: int) -> bytes:
    return icc.curv(*(round(65535 * (i / (count - 1)) ** exponent) for i in range(count)))


def srgb_table(count: int) -> bytes:
    v = np.linspace(0, 1, count)
    light = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    return icc.curv(*(round(65535 * float(y)) for y in light))


def test_srgb_as_a_profile_library_writes_it():
    facts = classify_profile(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    assert (facts.kind, facts.primaries, facts.curve) == ("rgb", "rec709", "srgb")
    assert facts.reading == "srgb_rec709_scene"
    assert facts.curve_error is not None
    assert facts.curve_error < 0.05


def by_little_cms(kind: str, **options: Any) -> bytes:
    return bytes(imagecodecs.cms_profile(kind, **options))


D65 = (0.3127, 0.3290, 1.0)
ACES_WHITE = (0.32168, 0.33767, 1.0)
REC709_XYY = (0.64, 0.33, 1, 0.30, 0.60, 1, 0.15, 0.06, 1)
AP1_XYY = (0.713, 0.293, 1, 0.165, 0.830, 1, 0.128, 0.044, 1)


@pytest.mark.parametrize(
    ("profile", "kind", "reading"),
    [
        (by_little_cms("srgb"), "rgb", "srgb_rec709_scene"),
        (by_little_cms("adobergb"), "rgb", "g22_adobergb_scene"),  # version 2, without chad
        (
            by_little_cms("rgb", whitepoint=D65, primaries=REC709_XYY, gamma=2.2),
            "rgb",
            "g22_rec709_scene",
        ),
        (
            by_little_cms("rgb", whitepoint=ACES_WHITE, primaries=AP1_XYY, gamma=1.0),
            "rgb",
            "lin_ap1_scene",
        ),
        (by_little_cms("gray", whitepoint=D65, gamma=1.8), "grey", "g18_rec709_scene"),
        (by_little_cms("lab2"), "lut", None),
        (by_little_cms("xyz"), "lut", None),
    ],
)
def test_profiles_of_an_independent_writer(profile: bytes, kind: str, reading: str | None):
    facts = classify_profile(profile)
    assert (facts.kind, facts.reading) == (kind, reading)
    if reading is not None:
        assert facts.curve_error is not None
        assert facts.curve_error <= 0.5
        assert "of an 8-bit code at most" in facts.words


def test_grey_profile_that_connects_to_lab_holds_lightness():
    """Its curve is L* over 100, not light: a straight line is no linear picture."""
    codes = np.linspace(0, 1, 1024)
    light = codes**2.2
    lightness = np.where(light > 216 / 24389, 1.16 * np.cbrt(light) - 0.16, light * 24389 / 2700)
    element = icc.curv(*(round(65535 * float(v)) for v in lightness))  # CIE 15: L* of Y
    facts = classify_profile(icc.grey_profile(element, b"Lab "))
    assert (facts.reading, facts.curve) == ("g22_rec709_scene", "g22")
    assert classify_profile(icc.grey_profile(icc.LINEAR, b"Lab ")).reading is None
    assert classify_profile(icc.grey_profile(icc.LINEAR)).reading == "lin_rec709_scene"


@pytest.mark.parametrize("primaries", ["rec709", "p3d65", "adobergb", "ap1"])
def test_colorants_that_were_never_adapted(primaries: str):
    facts = classify_profile(icc.rgb_profile(primaries, icc.LINEAR, chad=False, adapted=False))
    assert facts.primaries == primaries


def test_code_points_speak_for_look_up_tables():
    facts = classify_profile(icc.table_profile(b"RGB ", bytes([9, 16, 0, 1])))
    assert (facts.kind, facts.reading) == ("lut", "pq_rec2020_display")
    assert classify_profile(icc.table_profile(b"RGB ", bytes([200, 16, 0, 1]))).reading is None
    assert classify_profile(icc.table_profile(b"CMYK", bytes([9, 16, 0, 1]))).reading is None


@pytest.mark.parametrize("chad", [True, False])
@pytest.mark.parametrize(
    ("primaries", "curve", "reading"),
    [
        ("rec709", icc.SRGB_CURVE, "srgb_rec709_scene"),
        ("rec709", icc.LINEAR, "lin_rec709_scene"),
        ("rec709", table(2.2, 1024), "g22_rec709_scene"),
        ("rec709", icc.curv(round(2.4 * 256)), "g24_rec709_scene"),
        ("rec709", icc.curv(round(1.8 * 256)), "g18_rec709_scene"),
        ("p3d65", icc.SRGB_CURVE, "srgb_p3d65_scene"),
        ("p3d65", icc.LINEAR, "lin_p3d65_scene"),
        ("p3d65", icc.curv(round(2.6 * 256)), "g26_p3d65_display"),
        ("rec2020", icc.LINEAR, "lin_rec2020_scene"),
        ("adobergb", icc.curv(563), "g22_adobergb_scene"),
        ("adobergb", table(563 / 256, 256), "g22_adobergb_scene"),
        ("ap0", icc.LINEAR, "lin_ap0_scene"),
        ("ap1", icc.LINEAR, "lin_ap1_scene"),
        ("ap1", icc.para(0, 2.2), "g22_ap1_scene"),
        ("ap1", srgb_table(4096), "srgb_ap1_scene"),
        ("rec2020", icc.SRGB_CURVE, None),  # no such space in the vocabulary
        ("prophoto", icc.curv(461), None),
    ],
)
def test_primaries_and_curve_make_the_reading(
    primaries: str, curve: bytes, reading: str | None, chad: bool
):
    facts = classify_profile(icc.rgb_profile(primaries, curve, chad=chad))
    assert facts.reading == reading
    assert facts.kind == "rgb"
    assert facts.curve_error is not None
    assert facts.curve_error <= 0.5


@pytest.mark.parametrize(
    ("curve", "name"),
    [
        (icc.para(0, 2.2), "g22"),
        (icc.para(1, 2.2, 1.0, 0.0), "g22"),
        (icc.para(2, 1.8, 1.0, 0.0, 0.0), "g18"),
        (icc.para(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045), "srgb"),
        (icc.para(4, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045, 0.0, 0.0), "srgb"),
        (icc.curv(), "linear"),
        (icc.curv(256), "linear"),
        (icc.curv(0, 65535), "linear"),
        (table(2.4, 2048), "g24"),
    ],
)
def test_every_form_of_curve(curve: bytes, name: str):
    facts = classify_profile(icc.rgb_profile("rec709", curve))
    assert facts.curve == name
    assert facts.curve_error is not None
    assert facts.curve_error <= 0.5


def test_srgb_is_told_from_gamma_2_2():
    """They differ by up to 8.5 codes (measured with OpenColorIO 2.6)."""
    codes = np.arange(256) / 255
    light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    assert 8.4 < 255 * np.max(np.abs(light ** (1 / 2.2) - codes)) < 8.6
    assert classify_profile(icc.rgb_profile("rec709", icc.SRGB_CURVE)).curve == "srgb"
    assert classify_profile(icc.rgb_profile("rec709", icc.para(0, 2.2))).curve == "g22"


def test_curve_of_no_known_space_gives_no_reading():
    bt709 = icc.para(3, 1 / 0.45, 1 / 1.099, 0.099 / 1.099, 1 / 4.5, 0.081)  # ITU-R BT.709
    facts = classify_profile(icc.rgb_profile("rec709", bt709))
    assert facts.reading is None
    assert facts.curve_error is not None
    assert facts.curve_error > 0.5
    assert "no known space" in facts.words


@pytest.mark.parametrize(
    ("curve", "reading"),
    [
        (icc.curv(461), "g18_rec709_scene"),
        (icc.SRGB_CURVE, "srgb_rec709_scene"),
        (icc.curv(), "lin_rec709_scene"),
        (icc.curv(0, 9000, 65535), None),
    ],
)
def test_grey(curve: bytes, reading: str | None):
    facts = classify_profile(icc.grey_profile(curve))
    assert (facts.kind, facts.reading) == ("grey", reading)


@pytest.mark.parametrize(
    ("profile", "kind"),
    [
        (icc.table_profile(b"CMYK"), "cmyk"),
        (icc.table_profile(b"RGB "), "lut"),
        (icc.table_profile(b"Lab "), "lut"),
        (icc.assemble(b"RGB ", {}), "unreadable"),
        (icc.assemble(b"GRAY", {}), "grey"),
        (b"", "unreadable"),
        (bytes(200), "unreadable"),
        (icc.rgb_profile("rec709", icc.LINEAR)[:300], "unreadable"),
        (icc.rgb_profile("rec709", b"curv" + bytes(4) + b"\xff\xff\xff\xff"), "unreadable"),
        (icc.rgb_profile("rec709", icc.para(3, 2.4)), "unreadable"),
        (icc.rgb_profile("rec709", icc.para(0, -300.0)), "unreadable"),
    ],
)
def test_refused_with_a_reason(profile: bytes, kind: str):
    facts = classify_profile(profile)
    assert (facts.kind, facts.reading) == (kind, None)
    assert facts.words
