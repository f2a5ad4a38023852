"""Files for a display: codes as published and as OpenColorIO gives them, labels as others read."""

from __future__ import annotations

import io

import colour
import imagecodecs
import numpy as np
import PyOpenColorIO as ocio
import pytest
import tifffile
from PIL import Image, ImageCms
from tests.colour import reference
from tests.renders.handover import masters as m

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_VIEW
from primecoat.errors import UseError
from primecoat.images.icc_write import matrix_profile
from primecoat.renders.handover.kinds import kind_named
from primecoat.renders.handover.master import open_master
from primecoat.renders.handover.meant import Counts, Meant
from primecoat.renders.handover.recipe import Recipe, checked

SRGB, P3, PQ = "sRGB - Display", "Display P3 - Display", "Rec.2100-PQ - Display"
P3_VIEW = "ACES 2.0 - SDR 100 nits (P3 D65)"
PQ_VIEW = "ACES 2.0 - HDR 1000 nits (P3 D65)"


def handed(path, kind, **options):
    found = workflow.handover([path], kind, **options)
    assert not found.failed, found.failed
    return found.folder / found.done[0].record.output


def greys(*stops):
    return m.colours(*((0.18 * 2.0**stop,) * 3 for stop in stops))


@pytest.mark.parametrize(
    ("options", "published"),
    [
        ({"view": "Un-tone-mapped"}, (59.9, 117.6, 220.6, 255)),
        ({}, (30.6, 89.0, 163.7, 221)),
        (
            {"view": "ACES 1.0 - SDR Video", "config": "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"},
            (28.6, 90.8, 190.0, 238),
        ),
    ],
)
def test_codes_of_grey(tmp_path, options, published):
    """Codes of 0.18 x 2^EV at -2, 0, 2, 4: measured with the libraries' own tools beforehand.

    Mid-grey of ACES 2.0 is 10 cd/m2 of 100 by the ACES documentation (*Tone Mapping*, Values):
    sRGB-encoded 0.1 is 0.349190, 89.04 of 255 (IEC 61966-2-1). Light above 1 is cut off at 255.
    """
    path = m.master(tmp_path / "grey.exr", greys(-2, 0, 2, 4))
    codes = np.asarray(Image.open(handed(path, "srgb-png", **options)))[0, :, 0].astype(float)
    np.testing.assert_allclose(codes, published, atol=0.61)


def test_published_light_of_the_output_transform(tmp_path):
    """OpenColorIO's tests: ACES2065-1 (0.5, 0.4, 0.3) through SDR-100nit-REC709_2.0, XYZ, 1e-4."""
    name = "ACES-OUTPUT - ACES2065-1_to_CIE-XYZ-D65 - SDR-100nit-REC709_2.0"
    row = next(
        r
        for r in reference.rows("builtin-vectors__opencolorio-tests.csv")
        if r["transform"] == name
    )
    given, wanted = ([float(row[f"{way}_{c}"]) for c in (1, 2, 3)] for way in ("in", "out"))
    path = m.master(tmp_path / "one.exr", m.colours(given), "lin_ap0_scene")
    codes = tifffile.imread(handed(path, "srgb-tiff"))[0, 0] / 65535
    xyz = colour.sRGB_to_XYZ(codes)
    np.testing.assert_allclose(xyz, wanted, atol=2e-4)


def test_published_light_on_a_pq_display(tmp_path):
    """OpenColorIO's tests: 35 colours through the 1000 cd/m2 transform; PQ by colour-science."""
    rows = [
        r
        for r in reference.rows("aces2-output__opencolorio-tests.csv")
        if min(float(r[f"out_{c}"]) for c in "rgb") >= 0
    ]
    assert len(rows) > 25
    given = [tuple(float(r[f"aces2065_{c}"]) for c in "rgb") for r in rows]
    wanted = np.array([[float(r[f"out_{c}"]) for c in "rgb"] for r in rows])
    path = m.master(tmp_path / "chart.exr", m.colours(*given), "lin_ap0_scene")
    out = handed(path, "pq-png")
    codes = imagecodecs.png_decode(out.read_bytes())[0]
    assert codes.dtype == np.uint16
    spaces = colour.RGB_COLOURSPACES
    matrix = colour.matrix_RGB_to_RGB(spaces["P3-D65"], spaces["ITU-R BT.2020"])
    light = wanted @ matrix.T * 100
    published = colour.models.eotf_inverse_ST2084(np.clip(light, 0, None)) * 65535
    np.testing.assert_allclose(codes, published, atol=4)


@pytest.mark.parametrize(
    ("kind", "display", "name"),
    [("srgb-png", SRGB, DEFAULT_VIEW), ("p3-tiff", P3, P3_VIEW), ("pq-png", PQ, PQ_VIEW)],
)
def test_codes_equal_opencolorio_bit_for_bit_and_are_rounded_to_nearest(
    tmp_path, kind, display, name
):
    pixels = m.light()
    path = m.master(tmp_path / "beauty.exr", pixels)
    recipe = checked(Recipe(kind=kind_named(kind), number="16-bit"))
    assert (recipe.display, recipe.view) == (display, name)
    meant = Meant(open_master(path, recipe).frame, recipe)
    rows = np.concatenate([rows for rows, _ in meant.rows(Counts())])
    wanted = m.view(pixels, display, name)
    assert rows.tobytes() == wanted.tobytes()
    out = handed(path, kind, number="16-bit")
    stored = imagecodecs.imread(str(out)).astype(np.float64)
    exact = np.clip(wanted.astype(np.float64), 0, 1) * 65535
    assert np.abs(stored - exact).max() <= 0.5 + 2**-8  # float32 holds 1/256 of a code near white


def test_a_look_goes_before_the_view_in_acescct(tmp_path):
    """A stop is 1/17.52 in ACEScct (ACES documentation, equation 3): offset it, light doubles."""
    stop = 1 / 17.52
    look = tmp_path / "brighter.cc"
    look.write_text(
        '<ColorCorrection id="brighter"><SOPNode><Slope>1 1 1</Slope>'
        f"<Offset>{stop} {stop} {stop}</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>"
    )
    path = m.master(tmp_path / "grey.exr", greys(-2, 0, 2, 6))
    brighter = m.master(tmp_path / "brighter.exr", greys(-1, 1, 3, 7))
    seen = tifffile.imread(handed(path, "srgb-tiff", look=str(look), out=tmp_path / "look"))
    wanted = tifffile.imread(handed(brighter, "srgb-tiff"))
    np.testing.assert_allclose(seen.astype(int), wanted, atol=3)
    found = workflow.handover([path], "srgb-tiff", look=str(look), out=tmp_path / "look")
    assert found.document["recipe"]["look"]["works_in"] == "ACEScct"
    assert found.document["recipe"]["look"]["clamp"] is False


def test_a_look_equals_opencolorio(tmp_path):
    """The same steps put together by OpenColorIO's own look and view transforms, bit for bit."""
    clf = tmp_path / "warm.clf"
    clf.write_text(
        '<ProcessList id="warm" compCLFversion="3"><Matrix inBitDepth="32f" outBitDepth="32f">'
        '<Array dim="3 3">1.1 0 0 0 1 0 0 0.05 0.8</Array></Matrix></ProcessList>'
    )
    pixels = m.light()
    path = m.master(tmp_path / "beauty.exr", pixels)
    out = handed(path, "srgb-tiff", look=str(clf), look_in="lin_rec709_scene")
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    config.addLook(
        ocio.Look(
            name="warm",
            processSpace="lin_rec709_scene",
            transform=ocio.FileTransform(src=str(clf)),
        )
    )
    transform = config.getDisplayViewTransformName(SRGB, DEFAULT_VIEW)
    config.addDisplayView(SRGB, "warm", transform, SRGB, looks="warm")
    processor = config.getProcessor("ACEScg", SRGB, "warm", ocio.TRANSFORM_DIR_FORWARD)
    wanted = pixels.copy()
    processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(wanted)
    codes = np.floor(np.clip(wanted, 0, 1) * np.float32(65535) + np.float32(0.5))
    np.testing.assert_allclose(tifffile.imread(out).astype(float), codes, atol=1)
    with pytest.raises(UseError, match="does not say which colour space"):
        workflow.handover([path], "srgb-tiff", look=str(clf), out=tmp_path / "no")
    with pytest.raises(UseError, match="light on a display"):
        workflow.handover([path], "srgb-png", look=str(clf), look_in="srgb_rec709_display")


CICP = {"srgb-png": (1, 13, 0, 1), "p3-png": (12, 13, 0, 1), "pq-png": (9, 16, 0, 1)}
"""Source: ITU-T H.273; Color Interop Forum, *Color Space Encodings for Displays*."""


@pytest.mark.parametrize("kind", CICP)
def test_png_states_code_points_and_nothing_else(tmp_path, kind):
    out = handed(m.master(tmp_path / "beauty.exr", m.light()), kind)
    data = out.read_bytes()
    assert data.count(b"cICP" + bytes(CICP[kind])) == 1
    for other in (b"iCCP", b"sRGB", b"gAMA", b"cHRM"):
        assert other not in data
    spec = m.spec(out)
    assert tuple(spec.getattribute("CICP")) == CICP[kind]
    assert spec.getattribute("ICCProfile") is None
    with Image.open(out) as picture:
        assert not {"icc_profile", "srgb", "gamma", "chromaticity"} & picture.info.keys()


@pytest.mark.parametrize(
    ("kind", "options", "space"),
    [
        ("srgb-png", {"profile": True}, "srgb_rec709_display"),
        ("p3-png", {"profile": True, "number": "16-bit"}, "srgb_p3d65_display"),
        ("srgb-jpeg", {}, "srgb_rec709_display"),
        ("p3-jpeg", {}, "srgb_p3d65_display"),
        ("srgb-tiff", {"number": "8-bit"}, "srgb_rec709_display"),
        ("p3-tiff", {"compression": "none"}, "srgb_p3d65_display"),
    ],
)
def test_profiles_as_pillow_and_tifffile_read_them(tmp_path, kind, options, space):
    """Little CMS finds the red that colour-science works out: D50-adapted (ICC.1), Bradford."""
    out = handed(m.master(tmp_path / "beauty.exr", m.light()), kind, **options)
    if out.suffix == ".tif":
        profile = m.tiff_tag(out, "InterColorProfile")
    else:
        with Image.open(out) as picture:
            profile = picture.info["icc_profile"]
            assert not {"srgb", "gamma", "chromaticity"} & picture.info.keys()
            assert 0xA001 not in picture.getexif()
    assert profile == matrix_profile(space)
    spec = m.spec(out)
    assert bytes(bytearray(spec.getattribute("ICCProfile"))) == profile
    assert spec.getattribute("CICP") is None
    own = ImageCms.getOpenProfile(io.BytesIO(profile))
    gamut = colour.RGB_COLOURSPACES["sRGB" if "rec709" in space else "Display P3"]
    assert own.profile.red_colorant is not None
    red = np.array(own.profile.red_colorant[0])
    to_d50 = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        colour.xy_to_XYZ(gamut.whitepoint), np.array([0.9642, 1.0, 0.8249]), transform="Bradford"
    )
    np.testing.assert_allclose(red, to_d50 @ gamut.matrix_RGB_to_XYZ[:, 0], atol=2e-4)


def test_jpeg_is_near_and_keeps_its_edges(tmp_path):
    """Chroma is not subsampled (every component 1 x 1), and codes are near those of the PNG."""
    pixels = np.repeat(np.repeat(m.light(12, 8), 16, 0), 16, 1)
    path = m.master(tmp_path / "beauty.exr", pixels)
    jpeg = Image.open(handed(path, "srgb-jpeg"))
    layers = jpeg.layer  # type: ignore[attr-defined]
    assert [component[1:3] for component in layers] == [(1, 1)] * 3
    png = np.asarray(Image.open(handed(path, "srgb-png"))).astype(int)
    assert np.abs(np.asarray(jpeg) - png).mean() < 2


def test_what_a_view_cannot_be_asked(tmp_path):
    path = m.master(tmp_path / "beauty.exr", m.light())
    for options, words in (
        ({"kind": "acescg-exr", "view": "Un-tone-mapped"}, "no view and no look"),
        ({"kind": "srgb-png", "view": "Dusk"}, "has no view Dusk"),
        ({"kind": "srgb-png", "display": PQ}, "ends in pq_rec2020_display"),
        ({"kind": "srgb-png", "number": "half"}, "no numbers 'half'"),
        ({"kind": "srgb-tiff", "profile": True}, "one way only"),
        ({"kind": "gold"}, "Use one of: st2065-4"),
    ):
        with pytest.raises(UseError, match=words):
            workflow.handover([path], **options)
