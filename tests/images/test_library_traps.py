"""Traps of the image library: they exist in the pinned version, and the door closes them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenImageIO
import pytest
import tifffile
from PIL import Image
from tests.images import profiles as icc
from tests.images import written as w

from primecoat.errors import ImageError
from primecoat.images import oiio
from primecoat.images.oiio_stream import read_parts, read_rows
from primecoat.images.read_header import read_header

pinned = pytest.mark.skipif(
    not oiio.library_version().startswith("3.2.2"),
    reason="the trap was measured with OpenImageIO 3.2.2",
)


def plain_input(path: Path) -> OpenImageIO.ImageBuf:
    return OpenImageIO.ImageBuf(str(path))


@pytest.fixture
def p3_png(tmp_path: Path) -> Path:
    path = tmp_path / "p3.png"
    Image.fromarray(w.pixels()).save(path, icc_profile=icc.rgb_profile("p3d65", icc.SRGB_CURVE))
    return path


@pytest.fixture
def under_zero(tmp_path: Path) -> Path:
    path = tmp_path / "alpha.png"
    Image.fromarray(np.full((2, 2, 4), (200, 200, 200, 0), dtype=np.uint8)).save(path)
    return path


@pinned
def test_trap_every_png_is_reported_as_srgb(p3_png: Path, under_zero: Path):
    for path in (p3_png, under_zero):
        assert plain_input(path).spec().get("oiio:ColorSpace") == "srgb_rec709_scene"


def test_door_default_colour_space_is_no_statement(p3_png: Path, under_zero: Path):
    assert [s.reading for s in read_header(p3_png).statements] == ["srgb_p3d65_scene"]
    assert read_header(under_zero).statements == ()


@pinned
def test_trap_colour_under_zero_alpha_is_lost(under_zero: Path):
    assert np.max(np.asarray(plain_input(under_zero).get_pixels("uint8"))) == 0


def test_door_colour_under_zero_alpha_is_kept(under_zero: Path, tmp_path: Path):
    pixels = oiio.read_pixels(under_zero)
    assert np.array_equal(pixels, np.full((2, 2, 4), (200, 200, 200, 0)))
    again = tmp_path / "again.png"
    oiio.write_pixels(again, pixels)
    assert np.array_equal(np.asarray(Image.open(again)), pixels)


@pinned
def test_trap_the_writer_stamps_srgb(tmp_path: Path):
    path = tmp_path / "stamped.png"
    OpenImageIO.ImageBuf(w.pixels()).write(str(path))
    kinds = [s.kind for s in read_header(path).statements]
    assert kinds == ["sRGB chunk", "gAMA and cHRM"]


def test_door_writes_no_statement_unless_asked(tmp_path: Path):
    path = tmp_path / "plain.png"
    oiio.write_pixels(path, w.pixels())
    assert read_header(path).statements == ()
    profile = icc.rgb_profile("p3d65", icc.SRGB_CURVE)
    oiio.write_pixels(path, w.pixels(), attributes={"ICCProfile": profile})
    assert [s.reading for s in read_header(path).statements] == ["srgb_p3d65_scene"]
    oiio.write_pixels(path, w.pixels(), statement="srgb_rec709_scene")
    assert read_header(path).statements[0].reading == "srgb_rec709_scene"


@pinned
def test_trap_radiance_exposure_and_primaries_are_passed_over(tmp_path: Path):
    path = tmp_path / "sky.hdr"
    path.write_bytes(
        w.radiance("EXPOSURE=0.1", "PRIMARIES=0.713 0.293 0.165 0.83 0.128 0.044 0.32168 0.33767")
    )
    assert plain_input(path).spec().get("oiio:ColorSpace") == "lin_rec709_scene"


def test_the_same_picture_gives_the_same_bytes(tmp_path: Path):
    for suffix in ("png", "tif", "exr"):
        pixels = w.pixels() if suffix != "exr" else np.ones((4, 4, 3), dtype=np.float16)
        first, second = tmp_path / f"1.{suffix}", tmp_path / f"2.{suffix}"
        oiio.write_pixels(first, pixels)
        oiio.write_pixels(second, pixels)
        assert first.read_bytes() == second.read_bytes()


@pytest.fixture(params=["uint16", "uint32"])
def white_is_zero(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    path = tmp_path / "white.tif"
    codes = np.array([[0, 7, 1000]], request.param)
    tifffile.imwrite(path, codes, photometric="miniswhite")
    return path


@pinned
def test_trap_zero_as_white_is_passed_over_beyond_8_bits(white_is_zero: Path):
    pixels = np.asarray(plain_input(white_is_zero).get_pixels("float"))
    assert pixels[0, 0, 0] == 0


def test_door_zero_as_white_is_turned_round(white_is_zero: Path):
    """TIFF 6.0: 0 is imaged as white, 2^BitsPerSample - 1 as black; our grey has 0 for black."""
    most = 2 ** (8 * tifffile.imread(white_is_zero).dtype.itemsize) - 1
    wanted = [most, most - 7, most - 1000]
    assert oiio.read_pixels(white_is_zero).ravel().tolist() == wanted
    ((_, band),) = oiio.read_bands(white_is_zero, as_float=True)
    assert band.ravel() == pytest.approx(np.array(wanted) / most, abs=1e-6)
    ((rows,),) = read_rows(white_is_zero, 0, read_parts(white_is_zero)[0])
    assert rows.ravel().tolist() == wanted


@pytest.mark.parametrize(("kind", "most"), [("uint8", 255), ("float32", 0)])
def test_door_what_the_library_turns_itself_is_turned_once(tmp_path: Path, kind: str, most: int):
    """8 bits are turned by the library; of floats TIFF 6.0 says nothing, and they stay."""
    tifffile.imwrite(tmp_path / "w.tif", np.zeros((1, 3), kind), photometric="miniswhite")
    assert oiio.read_pixels(tmp_path / "w.tif").ravel().tolist() == [most] * 3


def test_door_zero_as_white_beside_alpha_is_refused(tmp_path: Path):
    codes = np.zeros((2, 2, 2), np.uint16)
    tifffile.imwrite(
        tmp_path / "w.tif", codes, photometric="miniswhite", extrasamples=["unassalpha"]
    )
    with pytest.raises(ImageError, match="0 is white"):
        oiio.read_pixels(tmp_path / "w.tif")
