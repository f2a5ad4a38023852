"""Smaller levels: filtered in linear light, level 0 untouched, odd sizes by area."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import OpenImageIO as oiio
import pytest
import tifffile
from tests.bake.files import HALF_ROUNDING, bake, headers_of, read, values, write
from tests.bake.independent import converted

from primecoat.bake.mips import Pyramid

SRGB, AP1 = "srgb_rec709_scene", "lin_ap1_scene"


def levels_of(path: Path) -> list[np.ndarray]:
    """Return every level of the first part, as the image library reads them."""
    plain = oiio.ImageSpec()
    plain.attribute("oiio:UnassociatedAlpha", 1)  # else colour is multiplied on reading
    source = oiio.ImageInput.open(str(path), plain)
    assert source is not None
    found: list[np.ndarray] = []
    while source.seek_subimage(0, len(found)):
        kind = str(source.spec().format)
        found.append(np.asarray(source.read_image(0, len(found), 0, 4, kind)))
    source.close()
    return found


def area_mean(pixels: np.ndarray, width: int, height: int) -> np.ndarray:
    """Return means over equal areas, by spreading both sizes over a common grid; float64."""
    tall, wide = pixels.shape[:2]
    fine = np.repeat(np.repeat(pixels.astype(np.float64), height, 0), width, 1)
    return np.asarray(fine.reshape(height, tall, width, wide, -1).mean(axis=(1, 3)))


def checker(size: int, white: int = 255) -> np.ndarray:
    """Return a checker of single black and white pixels, RGB."""
    one = (np.indices((size, size)).sum(axis=0) % 2 * white).astype(np.uint8)
    return np.repeat(one[..., None], 3, axis=-1)


@pytest.mark.parametrize("to_space", [AP1, "srgb_ap1_scene", "g22_ap1_scene", SRGB])
@pytest.mark.parametrize("name", ["out.exr", "out.tif"])
def test_a_checker_becomes_half_the_light(tmp_path: Path, to_space: str, name: str):
    """The top of a checker of single pixels is linear 0.5, in whatever curve it is stored."""
    picture = write(tmp_path / "checker.png", checker(64))
    number = "half" if name == "out.exr" else "16-bit"
    target, _ = bake(picture, name, SRGB, to_space, number=number, levels="yes")
    levels = levels_of(target)
    assert [level.shape[:2] for level in levels] == [(64 >> k, 64 >> k) for k in range(7)]
    assert len({level.dtype for level in levels}) == 1
    half = converted(np.full(3, 0.5), to_space.replace(to_space.split("_")[0], "lin"), to_space)
    for level in levels[1:]:
        allowed = half * HALF_ROUNDING + 2e-6 if number == "half" else 1 / 65535
        assert (np.abs(values(level) - half) <= allowed).all()
    plain, _ = bake(picture, f"plain{target.suffix}", SRGB, to_space, number=number)
    assert np.array_equal(levels[0], read(plain))


@pytest.mark.parametrize("size", [(37, 23), (64, 1), (1, 7), (100, 33), (5, 130)])
@pytest.mark.parametrize("to_space", [AP1, "srgb_ap1_scene"])
def test_odd_sizes_are_area_means(tmp_path: Path, size: tuple[int, int], to_space: str):
    """Each level is the mean over areas of the one above, in light, also where sizes are odd."""
    codes = np.random.default_rng(3).integers(0, 256, (*size, 3), dtype=np.uint8)
    picture = write(tmp_path / "bowl.png", codes)
    target, _ = bake(picture, "out.exr", SRGB, to_space, number="float", levels="yes")
    light = converted(values(codes), SRGB, AP1)
    levels = levels_of(target)
    assert len(levels) == max(size).bit_length()
    for level in levels:
        height, width = level.shape[:2]
        if level is not levels[0]:
            light = area_mean(light, width, height)
        assert np.abs(converted(values(level), to_space, AP1) - light).max() <= 5e-6


def test_alpha_and_multiplied_colour_are_filtered_too(tmp_path: Path):
    """Alpha is averaged as it is; multiplied colour as multiplied light."""
    chance = np.random.default_rng(5)
    alpha = chance.uniform(0.2, 1.0, (16, 16, 1))
    colour = chance.uniform(0.0, 1.0, (16, 16, 3))
    encoded = converted(colour, AP1, "srgb_ap1_scene")
    pixels = np.concatenate([encoded * alpha, alpha], -1).astype(np.float32)
    picture = write(tmp_path / "leaf.exr", pixels)
    space = "srgb_ap1_scene"
    target, _ = bake(picture, "out.exr", space, space, number="float", levels="yes")
    top = levels_of(target)[-1][0, 0].astype(np.float64)
    assert top[3] == pytest.approx(alpha.mean(), abs=1e-6)
    light = (colour * alpha).mean(axis=(0, 1))
    assert converted(top[:3] / top[3], space, AP1) * top[3] == pytest.approx(light, abs=5e-6)


@pytest.mark.parametrize("kind", ["exr", "tif"])
def test_a_texture_is_rebuilt_from_its_whole_size(tmp_path: Path, kind: str):
    """Stale levels of a texture, and its hash, are not carried: all are made from level 0."""
    wrong = checker(64)
    texture = tmp_path / "stale.tx"
    spec = oiio.ImageSpec(64, 64, 3, "half" if kind == "exr" else "uint8")
    spec.tile_width = spec.tile_height = 32
    spec.attribute("textureformat", "Plain Texture")
    spec.attribute("oiio:SHA-1", "AB" * 20)
    spec.attribute("ImageDescription", "oiio:SHA-1=" + "AB" * 20)
    spec.attribute("oiio:AverageColor", "0.9,0.9,0.9")
    out = oiio.ImageOutput.create("openexr" if kind == "exr" else "tiff")
    assert out is not None
    for level in range(7):
        own = spec.copy()
        own.width = own.height = own.full_width = own.full_height = 64 >> level
        further = "AppendMIPLevel" if kind == "exr" else "AppendSubimage"
        assert out.open(str(texture), own, further if level else "Create")
        codes = wrong if not level else np.full((64 >> level,) * 2 + (3,), 250)
        assert out.write_image(np.ascontiguousarray(codes / 255, np.float32))
    out.close()
    del out, own  # an OpenEXR file with levels is whole when its writer is gone
    assert len(levels_of(texture)) == 7
    target, _ = bake(texture, "out.exr", SRGB, AP1)
    levels = levels_of(target)
    assert len(levels) == 7
    assert np.abs(levels[0] - converted(values(wrong), SRGB, AP1)).max() <= HALF_ROUNDING
    assert np.abs(levels[6] - 0.5).max() <= 1e-3
    header = headers_of(target)[0]
    assert header["tiles"].xSize == 32
    assert not [name for name in header if "SHA" in name or ("Color" in name and "ID" not in name)]
    assert b"AB" * 20 not in target.read_bytes()
    flat, _ = bake(texture, "flat.exr", SRGB, AP1, levels="no")
    assert len(levels_of(flat)) == 1
    rows, _ = bake(texture, "rows.exr", SRGB, AP1, levels="no", tile=0)
    assert headers_of(rows)[0]["type"].name == "scanlineimage"
    assert np.array_equal(levels_of(rows)[0], levels[0])


def test_a_tiff_with_levels_is_read_by_another_library(tmp_path: Path):
    """Tifffile finds the same whole picture and the same smaller levels in a TIFF."""
    codes = np.random.default_rng(3).integers(0, 65536, (48, 80, 3), dtype=np.uint16)
    target, _ = bake(write(tmp_path / "b.png", codes), "o.tif", number="16-bit", levels="yes")
    with tifffile.TiffFile(target) as file:
        pages = [page.asarray() for page in file.pages]
    assert len(pages) == len(levels_of(target)) == 7
    for page, level in zip(pages, levels_of(target), strict=True):
        assert np.array_equal(page, level)
    light = converted(values(codes), SRGB, AP1)
    assert np.abs(values(pages[1]) - area_mean(light, 40, 24)).max() <= 1 / 65535


def test_levels_do_not_depend_on_the_bands(tmp_path: Path):
    """Rows put in one by one, in odd bands or all at once give the same levels."""
    rows = np.random.default_rng(8).random((301, 97, 2)).astype(np.float32)
    sizes = tuple((max(1, 97 >> k), max(1, 301 >> k)) for k in range(9))
    made = []
    for step in (1, 7, 64, 301):
        folder = tmp_path / str(step)
        folder.mkdir()
        pyramid = Pyramid(folder, sizes, 2)
        for first in range(0, 301, step):
            pyramid.put(rows[first : first + step])
        made.append([np.concatenate(list(pyramid.level(k))) for k in range(1, 9)])
    for other in made[1:]:
        assert all(np.array_equal(a, b) for a, b in zip(made[0], other, strict=True))
    assert made[0][-1][0, 0] == pytest.approx(rows.mean(axis=(0, 1)), abs=1e-5)


def test_one_wrong_number_spoils_no_level(tmp_path: Path):
    """NaN and infinity have no weight in means; where nothing else is, there is NaN."""
    pixels = np.random.default_rng(2).random((16, 32, 3)).astype(np.float32)
    holes = pixels.copy()
    holes[3, 5, 0], holes[8, 8, 1], holes[12:14, 20:22, 2] = np.nan, np.inf, np.nan
    picture = write(tmp_path / "sky.exr", holes)
    target, _ = bake(picture, "out.exr", AP1, AP1, levels="yes")
    first, second = levels_of(target)[1:3]
    across = pixels[2, 4:6, 0].mean(), pixels[3, 4, 0]  # row by row, then down
    assert first[1, 2, 0] == pytest.approx(np.mean(across), abs=1e-6)
    assert np.isfinite(first[4, 4, 1])
    assert np.argwhere(~np.isfinite(first)).tolist() == [[6, 10, 2]]
    assert np.isfinite(second).all()
    clean = area_mean(pixels, 16, 8)
    sound = np.ones(clean.shape, bool)
    sound[1, 2, 0] = sound[4, 4, 1] = sound[6, 10, 2] = False
    assert np.abs(first - clean)[sound].max() <= 1e-6


@pytest.mark.parametrize("tile", [-1, 16, 32])
@pytest.mark.parametrize("levels", ["yes", "no"])
def test_windows_are_kept_with_tiles_and_levels(tmp_path: Path, tile: int, levels: str):
    """A data window that begins elsewhere than the frame stays, and the levels are its own."""
    plane = np.random.default_rng(2).random((24, 40)).astype(np.float16)
    header = {
        "type": OpenEXR.scanlineimage,
        "dataWindow": (np.array([-3, 4], np.int32), np.array([36, 27], np.int32)),
        "displayWindow": (np.array([0, 0], np.int32), np.array([63, 63], np.int32)),
    }
    OpenEXR.File(dict(header), {name: plane.copy() for name in "RGB"}).write(
        str(tmp_path / "w.exr")
    )
    target, _ = bake(tmp_path / "w.exr", "out.exr", AP1, AP1, tile=tile, levels=levels)
    for name in ("dataWindow", "displayWindow"):
        assert all(map(np.array_equal, headers_of(target)[0][name], header[name]))
    made = levels_of(target)
    assert np.array_equal(made[0][..., 0], plane)
    assert len(made) == (6 if levels == "yes" else 1)
    if levels == "yes":
        mean = area_mean(plane[..., None], 20, 12)
        assert np.abs(made[1][..., :1] - mean).max() <= HALF_ROUNDING


@pytest.mark.parametrize("dtype", ["int16", "uint32", "float64", "float32"])
def test_uncommon_numbers_are_their_values(tmp_path: Path, dtype: str):
    """Signed, long and double numbers of a TIFF are baked as the values that they stand for."""
    wanted = np.random.default_rng(2).random((9, 9, 3))
    whole = not dtype.startswith("f")
    pixels = np.rint(wanted * np.iinfo(dtype).max).astype(dtype) if whole else wanted.astype(dtype)
    tifffile.imwrite(tmp_path / "b.tif", pixels, photometric="rgb")
    target, made = bake(tmp_path / "b.tif", "out.exr", AP1, AP1)
    assert made.number == ("half" if dtype == "int16" else "float")
    slack = wanted * HALF_ROUNDING + 2e-5 if dtype == "int16" else 1e-6
    assert (np.abs(values(read(target)) - wanted) <= slack).all()
