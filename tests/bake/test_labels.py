"""What a baked picture says of itself: one true colour statement, whoever reads it."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms
from tests.bake.files import bake, headers_of, read, tags_of, values, write
from tests.bake.independent import converted
from tests.bake.stuffed import MAKERS
from tests.images.profiles import _colorants

from primecoat.colour.ids import SPACES
from primecoat.errors import RefusedError
from primecoat.files import sha256_of
from primecoat.images.read_header import read_header
from primecoat.plan.baked import bake_record

STATED = {
    ".exr": tuple(SPACES),
    ".png": tuple(i for i, s in SPACES.items() if s.primaries != "ciexyzd65"),
    ".tif": tuple(
        i for i, s in SPACES.items() if s.primaries != "ciexyzd65" and s.curve not in ("pq", "hlg")
    ),
}
"""What each format can say: code points and profiles have none for CIE XYZ, profiles of curves
none for PQ and HLG (ICC.1:2010, parametricCurveType)."""

NUMBER = {".exr": "half", ".png": "16-bit", ".tif": "16-bit"}

EXR_SAYS_OF_LAYOUT = {
    "channels", "compression", "dataWindow", "displayWindow", "lineOrder", "pixelAspectRatio",
    "screenWindowCenter", "screenWindowWidth", "type", "name", "version", "chunkCount",
    "zipCompressionLevel", "tiles", "Orientation", "XResolution", "YResolution", "ResolutionUnit",
}  # fmt: skip
ALLOWED = {
    "colorInteropID", "primecoat:baked", "primecoat:source", "capDate", "owner", "Artist", "Author",
    "Copyright", "comments", "Description", "aspect",
}  # fmt: skip
"""The statement, the record, the pinned date, and who and what is pictured."""


def png_chunks(path: Path) -> list[tuple[bytes, bytes]]:
    """Return the chunks of a PNG, read by hand. Source: PNG Specification, section 5.3."""
    data, at, found = path.read_bytes(), 8, []
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        found.append((kind, data[at + 8 : at + 8 + length]))
        at += 12 + length
    return found


def twins(space: str) -> set[str]:
    """Return the IDs of equal curve and primaries."""
    known = SPACES[space]
    return {
        i for i, s in SPACES.items() if (s.curve, s.primaries) == (known.curve, known.primaries)
    }


@pytest.mark.parametrize("ending", list(STATED))
@pytest.mark.parametrize("kind", list(MAKERS))
def test_nothing_old_is_left(tmp_path: Path, kind: str, ending: str):
    """A source full of statements gives a picture with one, by readers that are not ours."""
    source = MAKERS[kind](tmp_path / f"stuffed.{kind}")
    assert len(read_header(source).statements) >= 2
    target, _ = bake(source, f"out{ending}", "srgb_rec709_scene", number=NUMBER[ending])
    if ending == ".exr":
        header = headers_of(target)[0]
        assert header["colorInteropID"] == "lin_ap1_scene"
        assert set(header) - EXR_SAYS_OF_LAYOUT <= ALLOWED
    elif ending == ".png":
        chunks = [name for name, _ in png_chunks(target)]
        said = {b"cICP", b"iCCP", b"sRGB", b"gAMA", b"cHRM", b"mDCV", b"cLLI", b"mDCv", b"cLLi"}
        assert [name for name in chunks if name in said] == [b"iCCP"]
        with Image.open(target) as image:
            exif = image.getexif()
            assert 0xA001 not in exif.get_ifd(0x8769)
            assert not exif.get_ifd(0xA005)
            assert 305 not in exif
            texts = {name: str(value) for name, value in image.info.items() if name != "exif"}
        assert set(texts) <= ALLOWED | {"icc_profile", "dpi", "XML:com.adobe.xmp", "xmp"}
        assert "ColorSpace" not in texts.get("XML:com.adobe.xmp", "")
    else:
        tags = tags_of(target)
        assert not {301, 318, 319, 33302} & set(tags)
        assert 34675 in tags
        assert "ColorSpace" not in tags.get(34665, {})
        words = bytes(tags.get(700, b"")) + str(tags.get(270, "")).encode()
        for old in (b"ColorSpace", b"ICCProfile", b"ColorMode", b"old maker", b"SHA-1"):
            assert old not in words
        assert "old maker" not in tags[305]
    whole = target.read_bytes()
    assert b"old maker" not in whole
    assert b"Adobe RGB" not in whole
    statements = read_header(target).statements
    assert [(s.reading, s.firm) for s in statements] == [("lin_ap1_scene", True)]


@pytest.mark.parametrize(
    ("ending", "space"), [(ending, space) for ending, spaces in STATED.items() for space in spaces]
)
def test_the_statement_is_the_space(tmp_path: Path, ending: str, space: str):
    """Our reader and others read the target's ID, or its twin of equal curve and primaries."""
    picture = write(tmp_path / "bowl.png", np.full((4, 4, 3), 99, np.uint8))
    target, _ = bake(picture, f"out{ending}", "srgb_rec709_scene", space, number=NUMBER[ending])
    statements = read_header(target).statements
    assert len(statements) == 1
    assert statements[0].firm
    assert statements[0].reading in twins(space)
    if ending == ".exr":
        assert headers_of(target)[0]["colorInteropID"] == space
        return
    with Image.open(target) as image:
        profile = image.info.get("icc_profile")
    chunks = dict(png_chunks(target)) if ending == ".png" else {}
    if profile is None:
        assert set(chunks) & {b"cICP", b"iCCP", b"sRGB", b"gAMA", b"cHRM"} == {b"cICP"}
        return
    assert set(chunks) & {b"cICP", b"sRGB", b"gAMA", b"cHRM"} == set()
    if ending == ".tif":
        assert tags_of(target)[34675] == profile
    else:
        name, _, packed = chunks[b"iCCP"].partition(b"\0")
        assert name
        assert zlib.decompress(packed[1:]) == profile
    opened = ImageCms.ImageCmsProfile(io.BytesIO(profile)).profile
    colorants = [
        colorant[0]
        for colorant in (opened.red_colorant, opened.green_colorant, opened.blue_colorant)
        if colorant is not None
    ]
    wanted, _ = _colorants(SPACES[space].primaries)
    assert np.abs(np.array(colorants).T - wanted).max() <= 2e-4


@pytest.mark.parametrize("space", ["srgb_ap1_scene", "g22_adobergb_scene", "g22_ap1_scene"])
def test_another_library_sees_the_colours(tmp_path: Path, space: str):
    """LittleCMS, led by the embedded profile alone, shows the picture in its old sRGB codes."""
    codes = np.random.default_rng(4).integers(0, 256, (32, 32, 3), dtype=np.uint8)
    picture = write(tmp_path / "bowl.png", codes)
    target, _ = bake(picture, "out.png", "srgb_rec709_scene", space, number="8-bit")
    with Image.open(target) as image:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        shown = ImageCms.profileToProfile(image, profile, ImageCms.createProfile("sRGB"))
    back = np.asarray(shown).astype(int)
    stored = values(read(target))
    wanted = np.rint(converted(stored, space, "srgb_rec709_scene").clip(0, 1) * 255)
    assert np.percentile(np.abs(back - wanted), 99) <= 1
    assert np.abs(back - wanted).max() <= 6


@pytest.mark.parametrize(
    ("ending", "space"),
    [
        (".png", "lin_ciexyzd65_scene"),
        (".tif", "lin_ciexyzd65_scene"),
        (".tif", "pq_p3d65_display"),
    ],
)
def test_what_cannot_be_said_is_refused(tmp_path: Path, ending: str, space: str):
    """Without a true statement there is no file."""
    picture = write(tmp_path / "bowl.png", np.full((4, 4, 3), 99, np.uint8))
    with pytest.raises(RefusedError, match="no true way"):
        bake(picture, f"out{ending}", "srgb_rec709_scene", space, number="16-bit")
    assert [path.name for path in tmp_path.iterdir()] == ["bowl.png"]


@pytest.mark.parametrize(
    ("name", "space", "channels"),
    [
        ("out.png", "lin_ap1_scene", 3),
        ("out.tif", "lin_ap1_scene", 3),
        ("out.png", "srgb_p3d65_scene", 1),
        ("out.exr", "lin_ap1_scene", 1),
    ],
)
@pytest.mark.parametrize("alpha", [0, 1])
def test_grey_becomes_colour_where_the_label_needs_it(
    tmp_path: Path, name: str, space: str, channels: int, alpha: int
):
    """A profile of red, green and blue does not fit a grey picture: it becomes RGB, alpha stays."""
    codes = np.random.default_rng(4).integers(0, 256, (8, 8, 1 + alpha), dtype=np.uint8)
    mode = "LA" if alpha else "L"
    Image.fromarray(codes if alpha else codes[..., 0]).convert(mode).save(tmp_path / "grey.png")
    number = "float" if name == "out.exr" else "16-bit"
    target, _ = bake(tmp_path / "grey.png", name, "srgb_rec709_scene", space, number=number)
    found = read(target)
    assert found.shape[-1] == channels + alpha
    wanted = converted(np.repeat(values(codes[..., :1]), 3, -1), "srgb_rec709_scene", space)
    assert np.abs(values(found[..., :channels]) - wanted[..., :channels]).max() <= 1e-5
    if alpha:
        assert np.abs(values(found)[..., -1] - values(codes)[..., 1]).max() <= 1e-7
    statements = read_header(target).statements
    assert [s.reading for s in statements] == [space]


@pytest.mark.parametrize("name", ["out.exr", "out.png", "out.tif", "half.tif"])
def test_a_baked_picture_is_known_by_its_record(tmp_path: Path, name: str):
    """The source's hash and the recipe stand in every format, and are read back (trap T8)."""
    picture = write(tmp_path / "bowl.png", np.full((4, 4, 3), 99, np.uint8))
    number = "half" if name in ("out.exr", "half.tif") else "16-bit"
    target, _ = bake(picture, name, number=number)
    assert bake_record(target).source_sha256 == sha256_of(picture)
    if name.endswith(".exr"):
        recipe = headers_of(target)[0]["primecoat:baked"]
    elif name.endswith(".png"):
        with Image.open(target) as image:
            recipe = image.info["primecoat:baked"]
    else:
        recipe = tags_of(target)[305]
    for word in ("srgb_rec709_scene to lin_ap1_scene", "OpenColorIO 2.", "OpenImageIO 3."):
        assert word in recipe
    assert bake_record(picture).source_sha256 == ""
    again, _ = bake(target, f"again{target.suffix}", "lin_ap1_scene", number=number)
    assert bake_record(again).source_sha256 == sha256_of(target)


def test_what_is_no_statement_is_kept(tmp_path: Path):
    """Who made a picture and which way is up are as true as before."""
    source = MAKERS["tif"](tmp_path / "in.tif")
    target, _ = bake(source, "out.tif", number="16-bit")
    tags = tags_of(target)
    assert (tags[315], tags[270]) == ("the potter", "a bowl")
    target, _ = bake(MAKERS["exr"](tmp_path / "in.exr"), "out.exr", "lin_ap0_scene")
    assert headers_of(target)[0]["owner"] == "the potter"
