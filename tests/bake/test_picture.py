from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from numpy.typing import NDArray
from PIL import Image, PngImagePlugin

from primecoat.bake.picture import bake_picture
from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.errors import ImageError
from primecoat.files import sha256_of
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.images.oiio import write_pixels
from primecoat.plan.recipe import BeyondHalf, Storage

Floats = NDArray[np.float32]

SRGB, REC709, AP1 = "srgb_rec709_scene", "lin_rec709_scene", "lin_ap1_scene"

HALF_ROUNDING = 2.0**-11
"""Half of the last place of an 11-bit significand. Source: IEEE 754-2008, binary16."""


def bake(source: Path, reading: str = SRGB, to_space: str = AP1) -> Path:
    """Bake a picture into the folder it lies in."""
    target = source.with_name(f"{source.stem}_{to_space}.exr")
    bake_picture(
        source,
        target,
        reading=reading,
        to_space=to_space,
        config=DEFAULT_CONFIG,
        source_sha256=sha256_of(source),
    )
    return target


def scale(pixels: NDArray[np.unsignedinteger]) -> Floats:
    """Return codes of N bits divided by 2^N - 1."""
    return np.asarray(pixels / np.iinfo(pixels.dtype).max, np.float32)


def exr(path: Path) -> tuple[dict[str, NDArray[np.floating]], dict[str, object]]:
    """Return the channels and the header of an OpenEXR file, by OpenEXR's own library."""
    with OpenEXR.File(str(path), separate_channels=True) as file:
        channels = {name: np.array(c.pixels) for name, c in file.channels().items()}
        return channels, dict(file.header())


def rgb(channels: dict[str, NDArray[np.floating]]) -> Floats:
    """Return the colour channels as one array."""
    return np.stack([channels[name] for name in "RGB"], axis=-1).astype(np.float32)


def codes(channels: int, dtype: str = "uint8", size: int = 16) -> NDArray[np.unsignedinteger]:
    """Return random codes that hold the least and the greatest."""
    most = np.iinfo(dtype).max
    made = np.random.default_rng(3).integers(0, most, (size, size, channels), dtype=dtype)
    made[0, 0], made[0, 1] = 0, most
    return made


CODE_ROUNDING = 4e-7
"""OpenColorIO scales whole numbers by 1/255 in float32, which is not quite a division by 255."""


def near(found: Floats, wanted: Floats) -> bool:
    """Whether stored half values are those wanted, within the rounding of half."""
    allowed = np.abs(wanted) * HALF_ROUNDING + CODE_ROUNDING
    return bool(np.all(np.abs(found - wanted) <= allowed))


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
@pytest.mark.parametrize("reading", [SRGB, "srgb_p3d65_scene", "g22_adobergb_scene", REC709])
@pytest.mark.parametrize("to_space", [AP1, "lin_ap0_scene"])
def test_values_are_those_of_the_conversion(
    tmp_path: Path, dtype: str, reading: str, to_space: str
) -> None:
    """Every colour value is OpenColorIO's exact one, rounded once to half."""
    picture = tmp_path / "bowl.png"
    pixels = codes(3, dtype)
    write_pixels(picture, pixels)
    channels, _ = exr(bake(picture, reading, to_space))
    assert {c.dtype for c in channels.values()} == {np.dtype(np.float16)}
    wanted = convert(scale(pixels), reading, to_space)
    assert near(rgb(channels), wanted)
    rounded_once = wanted.astype(np.float16).astype(np.float32)
    assert np.count_nonzero(rgb(channels) != rounded_once) <= wanted.size * 0.01


def test_white_and_red_are_the_published_ones(tmp_path: Path) -> None:
    """White stays 1, 1, 1; Rec.709 red has the ACEScg value of the published matrix.

    Source: OpenColorIO-Config-ACES, "Linear Rec.709 (sRGB)" to ACEScg, Bradford adaptation.
    """
    picture = tmp_path / "two.png"
    Image.fromarray(np.array([[[255, 255, 255], [255, 0, 0]]], np.uint8)).save(picture)
    white, red = rgb(exr(bake(picture))[0])[0]
    assert np.allclose(white, 1.0, atol=HALF_ROUNDING)
    assert np.allclose(red, [0.613097, 0.070194, 0.020616], rtol=HALF_ROUNDING, atol=1e-6)


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_alpha_is_kept_and_colour_under_it_too(tmp_path: Path, dtype: str) -> None:
    """Alpha is the same number as before; colour under alpha 0 is converted like any other."""
    pixels = codes(4, dtype)
    pixels[:4, :, 3] = 0
    most = np.iinfo(dtype).max
    pixels[2, 2] = (most, most // 2, 7, 0)
    picture = tmp_path / "leaf.png"
    write_pixels(picture, pixels)
    channels, _ = exr(bake(picture))
    assert np.array_equal(channels["A"], scale(pixels)[..., 3])
    assert near(rgb(channels), convert(scale(pixels)[..., :3], SRGB, AP1))
    assert not np.array_equal(channels["A"], channels["R"])
    assert rgb(channels)[2, 2].min() > 0


def test_a_picture_multiplied_by_alpha_has_the_right_edges(tmp_path: Path) -> None:
    """A half-covered edge is decoded at its own colour and multiplied again, to 1e-6 of analysis.

    With colour c and alpha a a pixel holds encoded c times a; the answer is linear c times a.
    """
    colour = np.array([0.8, 0.4, 0.2], np.float32)
    alpha = np.array([0.0, 0.25, 0.5, 0.75, 1.0], np.float32)[None, :, None]
    picture = tmp_path / "edge.exr"  # OpenEXR: colour is multiplied by alpha
    glow = np.array([0.1, 0.2, 0.3], np.float32)
    pixels = np.concatenate([colour * alpha, alpha], axis=-1)
    pixels[0, 0, :3] = glow
    write_pixels(picture, pixels, attributes={"oiio:UnassociatedAlpha": 0})
    channels, _ = exr(bake(picture))
    wanted = convert(colour, SRGB, AP1) * alpha
    assert np.array_equal(channels["A"], alpha[..., 0])
    assert near(rgb(channels)[:, 1:], wanted[:, 1:])
    assert near(rgb(channels)[0, 0], convert(glow, SRGB, AP1))


def test_the_label_is_the_interop_id_and_nothing_else(tmp_path: Path) -> None:
    """A source full of statements gives a picture with one: no profile, gamma or chromaticities."""
    picture = tmp_path / "bowl.png"
    info = PngImagePlugin.PngInfo()
    info.add(b"gAMA", (45455).to_bytes(4, "big"))
    numbers = (31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000)  # Display P3
    info.add(b"cHRM", b"".join(n.to_bytes(4, "big") for n in numbers))
    Image.fromarray(codes(3)).save(picture, pnginfo=info, icc_profile=b"profile" * 30)
    assert b"iCCP" in picture.read_bytes()
    _, header = exr(bake(picture))
    assert header.pop("colorInteropID") == AP1
    said = [name for name in header if name not in _GEOMETRY]
    assert sorted(said) == ["capDate", "primecoat:baked", "primecoat:source"]
    assert header["primecoat:source"] == sha256_of(picture)


_GEOMETRY = {
    "channels", "compression", "dataWindow", "displayWindow", "lineOrder", "pixelAspectRatio",
    "screenWindowCenter", "screenWindowWidth", "type", "name", "version", "chunkCount",
    "zipCompressionLevel", "Orientation",
}  # fmt: skip
"""Attributes of any OpenEXR file that say nothing of colour."""


def test_an_old_label_of_an_exr_is_replaced(tmp_path: Path) -> None:
    """Chromaticities and ID of the old space are gone: nothing contradicts the new statement."""
    picture = tmp_path / "sky.exr"
    write_pixels(
        picture,
        np.ones((4, 4, 3), np.float32),
        attributes={
            "colorInteropID": "lin_ap0_scene",
            "chromaticities": (0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.077, 0.32168, 0.33767),
        },
    )
    assert "chromaticities" in exr(picture)[1]
    _, header = exr(bake(picture, "lin_ap0_scene"))
    assert "chromaticities" not in header
    assert header["colorInteropID"] == AP1


@pytest.mark.parametrize("kind", ["png", "exr", "tif"])
def test_the_same_recipe_gives_the_same_bytes(tmp_path: Path, kind: str) -> None:
    """No date, name or chance gets into the file."""
    picture = tmp_path / f"bowl.{kind}"
    pixels = codes(4, "uint16", 64)
    write_pixels(picture, scale(pixels) if kind == "exr" else pixels)
    first = bake(picture).read_bytes()
    (tmp_path / "elsewhere").mkdir()
    other = tmp_path / "elsewhere" / f"cup.{kind}"
    other.write_bytes(picture.read_bytes())
    assert bake(other).read_bytes() == first
    assert bake(picture).read_bytes() == first


@pytest.mark.parametrize("kept", [np.float16, np.float32])
def test_numbers_stay_as_fine_as_they_were(tmp_path: Path, kept: type) -> None:
    """Half stays half and float stays float, if nothing else is asked for."""
    picture = tmp_path / "sky.exr"
    write_pixels(picture, np.full((4, 4, 3), 0.5, kept))
    assert {c.dtype for c in exr(bake(picture, REC709))[0].values()} == {np.dtype(kept)}


@pytest.mark.parametrize("beyond", ["float", "clamp"])
@pytest.mark.parametrize("brightest", [60000.0, 65504.0, 65520.0, 145000.0])
def test_what_half_cannot_hold(tmp_path: Path, brightest: float, beyond: BeyondHalf) -> None:
    """A sun above 65504 makes the picture float, or is clamped and counted; never infinite."""
    picture = tmp_path / "sky.exr"
    pixels = np.full((4, 4, 3), 0.5, np.float32)
    pixels[1, 1] = brightest
    write_pixels(picture, pixels)
    target = tmp_path / "sky_baked.exr"
    made = bake_picture(
        picture,
        target,
        reading=AP1,
        to_space=AP1,
        config=DEFAULT_CONFIG,
        source_sha256="",
        storage=Storage(number="half", beyond_half=beyond),
    )
    fits = brightest <= HALF_LARGEST
    assert made.number == ("half" if fits or beyond == "clamp" else "float")
    found = rgb(exr(target)[0])
    kept = min(brightest, HALF_LARGEST) if made.number == "half" else brightest
    assert np.all(found[1, 1] == (brightest if fits else kept))
    assert made.tally.beyond_half == (0 if fits else 3)
    assert np.all(found[0] == 0.5)


def test_one_wrong_number_harms_no_other(tmp_path: Path) -> None:
    """NaN and infinity stay in their own pixel and channel; the rest is as without them."""
    picture = tmp_path / "sky.exr"
    pixels = np.random.default_rng(4).random((8, 8, 4)).astype(np.float32)
    holes = pixels.copy()
    holes[2, 3, 0], holes[4, 5, 1], holes[6, 7, 2] = np.nan, np.inf, -np.inf
    write_pixels(picture, holes)
    channels, _ = exr(bake(picture, REC709))
    found = rgb(channels)
    assert np.isnan(found[2, 3, 0])
    assert (found[4, 5, 1], found[6, 7, 2]) == (np.inf, -np.inf)
    assert np.count_nonzero(~np.isfinite(found)) == 3
    assert np.array_equal(channels["A"], pixels[..., 3])
    sound = np.isfinite(holes[..., :3]).all(axis=-1)
    assert np.allclose(found[sound], convert(pixels[..., :3], REC709, AP1)[sound], atol=1e-6)
    without = pixels[2, 3, :3] * [0, 1, 1]
    assert np.allclose(found[2, 3, 1:], convert(without, REC709, AP1)[1:], atol=1e-6)


def test_values_below_zero_and_above_one_are_kept(tmp_path: Path) -> None:
    """Nothing is clipped: the linear conversion there and back gives the values again."""
    picture = tmp_path / "sky.exr"
    pixels = np.random.default_rng(5).uniform(-2, 30, (8, 8, 3)).astype(np.float32)
    write_pixels(picture, pixels)
    channels, _ = exr(bake(picture, REC709))
    back = convert(rgb(channels), AP1, REC709)
    assert np.allclose(back, pixels, rtol=0, atol=30 * 4 * HALF_ROUNDING)
    assert rgb(channels).min() < 0


@pytest.mark.parametrize("mode", ["L", "LA"])
def test_a_grey_picture_stays_grey(tmp_path: Path, mode: str) -> None:
    """Grey is neutral in every space, so one channel stays one channel; alpha stays alpha."""
    pixels = codes(len(mode))
    picture = tmp_path / "grey.png"
    grey = Image.fromarray(pixels[..., 0])
    if mode == "LA":
        grey = Image.merge("LA", (grey, Image.fromarray(pixels[..., 1])))
    grey.save(picture)
    channels, _ = exr(bake(picture))
    assert sorted(channels) == sorted("Y" + "A" * (mode == "LA"))
    values = scale(pixels[..., :1])
    wanted = convert(np.repeat(values, 3, axis=-1), SRGB, AP1)[..., 1]
    assert near(channels["Y"].astype(np.float32), wanted)
    if mode == "LA":
        assert np.array_equal(channels["A"], scale(pixels)[..., 1])


def test_what_holds_no_colour_is_refused(tmp_path: Path) -> None:
    """A picture without colour channels is not baked, and nothing is written."""
    picture = tmp_path / "deep.exr"
    zeros = np.zeros((4, 4), np.float32)
    OpenEXR.File({}, {"Z": zeros, "N.X": zeros, "N.Y": zeros, "N.Z": zeros}).write(str(picture))
    with pytest.raises(ImageError, match="no colour by name"):
        bake(picture)
    assert [p.name for p in tmp_path.iterdir()] == ["deep.exr"]


def test_a_truncated_picture_is_refused(tmp_path: Path) -> None:
    """Half a picture is not baked as if the rest were black."""
    whole = io.BytesIO()
    Image.fromarray(codes(3, size=64)).save(whole, "PNG")
    picture = tmp_path / "half.png"
    picture.write_bytes(whole.getvalue()[: len(whole.getvalue()) // 2])
    with pytest.raises(ImageError):
        bake(picture)
    assert [p.name for p in tmp_path.iterdir()] == ["half.png"]
