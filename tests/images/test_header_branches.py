"""What headers rarely say, and what damaged ones say: each costs at most its own statement."""

from __future__ import annotations

import struct
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.images import profiles
from tests.images import test_robust_headers as whole
from tests.images import written as w

from primecoat.errors import ImageError
from primecoat.images import jpeg, png, radiance, tga, tiff, webp
from primecoat.images.cicp import judge_code_points
from primecoat.images.exif import Directories, Entry, exif_statement
from primecoat.images.exr import SIGNATURE
from primecoat.images.exr_parts import Part, read_exr_headers
from primecoat.images.gamma import judge_gamma
from primecoat.images.head import HEAD, Head
from primecoat.images.icc import classify_profile
from primecoat.images.read_header import read_header
from primecoat.images.texture_record import TEXTURE_FORMAT_TAG


def head(data: bytes) -> Head:
    return Head(BytesIO(data))


def test_code_points_of_another_matrix_are_forbidden():
    """Source: W3C PNG (Third Edition), 11.3.2.6: matrix coefficients must be 0."""
    found = judge_code_points(bytes([1, 13, 1, 1]))
    assert (found.reading, found.firm) == (None, False)
    assert "forbidden" in found.words


@pytest.mark.parametrize(
    ("space", "index", "reading", "firm"),
    [
        (2, b"", "g22_adobergb_scene", False),
        (None, b"R98", "srgb_rec709_scene", False),
        (None, b"R03", "g22_adobergb_scene", True),
        (0xFFFF, b"", None, False),
    ],
)
def test_exif(space: int | None, index: bytes, reading: str | None, firm: bool):
    """Source: CIPA DC-008 (ColorSpace 1 and 0xFFFF; R98, R03); 2 is common, outside of it."""
    found = exif_statement(w.exif(space, index))
    assert found is not None
    assert (found.reading, found.firm) == (reading, firm)


def test_directories_of_what_is_no_tiff():
    """No directory, none after it, and no value of the wrong type."""
    none = Directories(head(b"PK\3\4" + bytes(20)))
    assert (none.entries(8), none.following(8)) == ({}, 0)
    sound = Directories(head(b"II*\0" + struct.pack("<I", 8) + bytes(8)))
    assert sound.fractions(Entry(3, 1, 8)) == ()
    assert sound.fractions(Entry(5, 1, 8)) == (0.0,)


def test_views_of_an_exr():
    """Source: OpenEXR file layout, stringvector: a length before each; one cut off ends it."""
    views = b"".join(struct.pack("<I", len(v)) + v for v in (b"left", b"right"))
    assert Part({"multiView": views}).views() == ("left", "right")
    assert Part({"multiView": views + struct.pack("<I", 9) + b"cut"}).views() == ("left", "right")
    assert Part({"view": b"left\0"}).views() == ("left",)


@pytest.mark.parametrize(
    ("mode", "size", "levels"),
    [(0, 5, 1), (1, 5, 3), (0x11, 5, 4), (2, 5, 3), (1, 8, 4), (0x11, 8, 4), (1, 0, 1)],
)
def test_levels_of_an_exr(mode: int, size: int, levels: int):
    """Source: OpenEXR technical introduction: floor(log2 n) + 1 levels, or ceil if rounded up."""
    window = struct.pack("<4i", 0, 0, size - 1, 0)
    part = Part({"tiles": struct.pack("<IIB", 8, 8, mode), "dataWindow": window})
    assert part.levels() == levels


def test_exr_header_beyond_the_first_read():
    """An attribute longer than what is read at once is passed over, and what follows is met."""
    filler = b"note\0string\0" + struct.pack("<I", HEAD) + bytes(HEAD)
    named = b"name\0string\0\4\0\0\0bowl\0"
    (part,) = read_exr_headers(head(SIGNATURE + b"\2\0\0\0" + filler + named)).parts
    assert part.text("name") == "bowl"


def test_exr_channel_list_cut_off():
    """Those before the cut are told."""
    whole = b"A\0" + struct.pack("<iIii", 1, 0, 1, 1)
    assert [c.name for c in Part({"channels": whole + b"B\0\1"}).channels()] == ["A"]


def test_exr_of_very_many_parts_ends():
    """As many are read as there may be."""
    part = b"view\0string\0\1\0\0\0x\0"
    headers = read_exr_headers(head(SIGNATURE + b"\2\x10\0\0" + part * 1100))
    assert len(headers.parts) == 1024


def test_jpeg_fill_bytes_markers_alone_and_very_many():
    """Source: ITU-T T.81, B.1.1.2 (fill bytes 0xFF) and B.1.1.3 (RST and TEM stand alone)."""
    frame = w.segment(0xC0, b"\x08\0\1\0\1\4")
    met = jpeg.read_segments(head(b"\xff\xd8\xff\x01\xff" + frame))
    assert met.components == 4
    assert jpeg.jpeg_storage(met) == (jpeg.INK,)
    assert jpeg.read_segments(head(b"\xff\xd8" + b"\xff\x01" * 5000 + frame)).components == 0


def test_png_cut_before_its_pixels_and_of_very_many_chunks():
    assert png.read_chunks(head(png.SIGNATURE + b"\0\0")) is None
    assert png.read_chunks(head(png.SIGNATURE + w.chunk(b"tEXt", b"") * 5000)) is None
    assert png.read_chunks(head(png.SIGNATURE + bytes.fromhex("ffffffff") + b"cICP")) is None


def test_radiance_lines():
    """A gamma is told; numbers that are none, or not enough, are passed over."""
    lines = ["GAMMA=2.2", "PRIMARIES=a b", "EXPOSURE=x", "no equals sign"]
    (found,) = radiance.radiance_statements(head(w.radiance(*lines)))
    assert found.kind == "Radiance GAMMA"
    assert radiance.radiance_statements(head(w.radiance("GAMMA=1", "PRIMARIES=1 2"))) == ()


def test_radiance_in_xyz(tmp_path: Path):
    """Source: Radiance file formats: 32-bit_rle_xyze holds CIE XYZ; such a file is refused."""
    data = b"#?RADIANCE\nFORMAT=32-bit_rle_xyze\n\n-Y 1 +X 1\n\1\1\1\x80"
    (found,) = radiance.radiance_statements(head(data))
    assert (found.kind, found.firm) == ("Radiance XYZE", True)
    path = tmp_path / "cup.hdr"
    path.write_bytes(data)
    with pytest.raises(ImageError, match="CIE XYZ"):
        read_header(path)


def test_tga_of_a_few_bits():
    """Source: Truevision TGA 2.0, field 5.5: 16 bits are 5 a channel; type 3 is grey."""
    front = struct.pack("<BBB5xHHHHBB", 0, 0, 2, 0, 0, 1, 1, 16, 1)
    assert tga.tga_facts(head(front)).storage == ("5 bits a channel",)
    assert tga.tga_facts(head(front[:10])) == tga.TgaFacts()


def test_webp_chunks():
    """Source: RFC 9649, 2.7: animation by a flag of VP8X; what ends early ends the search."""
    front = b"RIFF\0\0\0\0WEBP"
    moving = w8(b"VP8X", b"\2" + bytes(9))
    assert webp.webp_storage(head(front + moving + w8(b"VP8L", b"x"))) == ("animation", "lossless")
    assert webp.webp_storage(head(front + moving)) == ("animation",)
    many = front + w8(b"JUNK", b"") * 4100
    assert webp.webp_storage(head(many)) == ()
    assert webp.webp_statements(head(many)) == ()
    (found,) = webp.webp_statements(head(front + w8(b"EXIF", b"Exif\0\0" + w.exif(1))))
    assert found.reading == "srgb_rec709_scene"


def w8(kind: bytes, body: bytes) -> bytes:
    """Return a RIFF chunk."""
    return kind + struct.pack("<I", len(body)) + body + bytes(len(body) % 2)


def test_tiff_of_a_texture_maker_and_its_primaries(tmp_path: Path):
    """An EXIF word in a texture is a hint; WhitePoint and PrimaryChromaticities tell no curve."""
    path = tmp_path / "cup.tif"
    tags = {318: (0.3127, 0.329), 319: (0.64, 0.33, 0.3, 0.6, 0.15, 0.06)}
    Image.fromarray(np.zeros((2, 2, 3), np.uint8)).save(path, tiffinfo=tags)
    (found,) = read_header(path).statements
    assert (found.kind, found.reading) == ("chromaticities", None)
    assert "Rec.709" in found.words


@pytest.mark.parametrize("name", whole.PARSERS)
def test_all_at_once(name: str):
    """A header that says everything is read, and cut anywhere it is still no error."""
    read, data = whole.PARSERS[name]
    assert read(data) is not None
    for cut in range(0, min(len(data), 200), 7):
        read(data[:cut])


def test_values_of_directories():
    """Whole numbers and texts, and none of another type. Source: TIFF 6.0, section 2."""
    data = b"II*\0" + struct.pack("<IHHI", 8, 7, 9, 0) + b"cup\0\0"
    found = Directories(head(data))
    assert found.integers(Entry(3, 2, 8)) == (7, 9)
    assert found.integers(Entry(2, 2, 8)) == ()
    assert found.text(Entry(2, 4, 16)) == "cup"
    assert found.text(Entry(3, 1, 16)) == ""


def test_gammas():
    """563/256 is that of Adobe RGB (1998), 4.3.1.2."""
    adobe = judge_gamma(45455, "adobergb", has_primaries=True)
    assert (adobe.reading, adobe.firm) == ("g22_adobergb_scene", True)
    assert judge_gamma(12345, None, has_primaries=False).firm
    assert judge_gamma(100000, None, has_primaries=True).reading is None


@pytest.mark.parametrize("curve", [b"none" + bytes(8), b"curv" + bytes(4) + b"\xff" * 4])
def test_profile_with_a_curve_that_is_none(curve: bytes):
    assert classify_profile(profiles.rgb_profile("rec709", curve)).reading is None


def test_profile_whose_red_is_nothing():
    """No chromaticity can be had of it."""
    data = profiles.rgb_profile("rec709", profiles.SRGB_CURVE)
    at = data.index(b"rXYZ") + 4
    place = struct.unpack(">I", data[at : at + 4])[0]
    broken = data[: place + 8] + bytes(12) + data[place + 20 :]
    assert classify_profile(broken).reading is None


def test_jpeg_with_a_part_of_its_profile_missing():
    """Source: ICC.1, Annex B: each segment says which of how many it is."""
    part = w.segment(0xE2, b"ICC_PROFILE\0" + bytes([1, 2]) + bytes(8))
    met = jpeg.read_segments(head(b"\xff\xd8" + part + w.segment(0xEE, b"other")))
    (found,) = jpeg.statements_of(met)
    assert "1 of 2 parts" in found.words


def test_png_of_few_bits():
    """Source: W3C PNG (Third Edition), 11.2.1 and 11.3.1."""
    grey = struct.pack(">IIBBBBB", 1, 1, 1, 0, 0, 0, 1)
    assert png.png_storage({b"IHDR": grey}) == ("1 bit a channel", "interlaced")
    palette = struct.pack(">IIBBBBB", 1, 1, 4, 3, 0, 0, 0)
    told = png.png_storage({b"IHDR": palette, b"tRNS": b"\0"})
    assert told == ("palette", "entries of the palette transparent (tRNS)")
    assert png.png_storage({b"IHDR": palette[:8] + b"\x08\2\0\0\0", b"tRNS": b""})


@pytest.mark.parametrize("body", [b"no end", b"\0\0x", b"a\0\1x", b"a\0\0no deflate"])
def test_png_profile_that_is_none(body: bytes):
    (found,) = png.png_statements({b"iCCP": body, b"cICP": b"\1"})
    assert (found.kind, found.reading) == ("ICC profile", None)


def test_radiance_factors():
    """Source: Radiance file formats: all lines multiply; a damaged product counts for nothing."""
    assert radiance.radiance_scale(head(w.radiance("EXPOSURE=2", "COLORCORR=1 2 4"))) == (2, 4, 8)
    assert radiance.radiance_scale(head(w.radiance("EXPOSURE=1e30"))) == (1, 1, 1)


def test_exr_cut_in_an_attribute():
    (part,) = read_exr_headers(head(SIGNATURE + b"\2\0\0\0name\0string")).parts
    assert part.attributes == {}


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("none.png", None, "no such file"),
        ("empty.png", b"", "empty"),
        ("cut.png", png.SIGNATURE, "cut off"),
    ],
)
def test_files_that_are_none(name: str, data: bytes | None, words: str, tmp_path: Path):
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(ImageError, match=words):
        read_header(tmp_path / name)


def test_a_folder_is_no_picture(tmp_path: Path):
    with pytest.raises(ImageError, match="that you may read it"):
        read_header(tmp_path)


def test_exif_in_a_texture_is_a_hint():
    """Texture makers stamp there what their reader takes an untagged source for."""
    data = w.tiff_with_exif(1)
    at = data.index(struct.pack("<HH", 277, 3))
    text = struct.pack("<HHI4s", TEXTURE_FORMAT_TAG, 2, 4, b"map\0")
    marked = head(data[:at] + text + data[at + 12 :])
    (found,) = tiff.tiff_statements(marked)
    assert (found.firm, "a hint" in found.words) == (False, True)
    assert tiff.tiff_texture(marked) is not None


def test_profile_whose_channels_have_curves_of_their_own():
    data = profiles.rgb_profile("rec709", profiles.curv(0x0233))
    at = data.index(b"gTRC") + 4
    place = struct.unpack(">I", data[at : at + 4])[0]
    mixed = data[: place + 12] + b"\1\0" + data[place + 14 :]
    assert classify_profile(data).reading == "g22_rec709_scene"
    assert classify_profile(mixed).reading is None


def test_a_format_without_words_on_colour(tmp_path: Path):
    path = tmp_path / "cup.bmp"
    Image.fromarray(np.zeros((2, 2, 3), np.uint8)).save(path)
    assert read_header(path).statements == ()


def test_primaries_without_a_gamma():
    assert judge_gamma(0, "rec709", has_primaries=True).words == "primaries without a curve"
