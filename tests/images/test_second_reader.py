"""The second reader gives what Pillow, tifffile, imagecodecs and OpenEXR give, or nothing."""

from __future__ import annotations

import zlib

import imagecodecs
import numpy as np
import OpenEXR
import pytest
import tifffile
from PIL import Image
from tests.images import written as by_hand

from primecoat.errors import ImageError
from primecoat.images.second_reader import second_rows

SIZES = [(1, 1), (17, 5), (33, 40), (300, 77)]


def noise(size, dtype, channels):
    width, height = size
    rng = np.random.default_rng(width)
    if np.dtype(dtype).kind == "f":
        return rng.normal(0, 9, (height, width, channels)).astype(dtype)
    smooth = np.add.outer(np.arange(height), np.arange(width))[..., None] * np.arange(
        1, channels + 1
    )
    return (smooth + rng.integers(0, 9, smooth.shape)).astype(dtype)


def whole(path):
    rows = second_rows(path)
    assert rows is not None
    return np.concatenate(list(rows))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("channels", ["RGB", "RGBA"])
@pytest.mark.parametrize("kind", ["f2", "f4"])
@pytest.mark.parametrize("packed", ["NO", "ZIPS", "ZIP"])
def test_openexr(tmp_path, size, channels, kind, packed):
    pixels = noise(size, kind, len(channels))
    pixels[:3] = 0  # rows that get smaller, beside rows that do not
    head = {
        "compression": getattr(OpenEXR, f"{packed}_COMPRESSION"),
        "type": OpenEXR.scanlineimage,
    }
    planes = {name: np.ascontiguousarray(pixels[..., at]) for at, name in enumerate(channels)}
    OpenEXR.File(head, planes).write(str(tmp_path / "a.exr"))
    np.testing.assert_array_equal(whole(tmp_path / "a.exr"), pixels)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("channels", [3, 4])
@pytest.mark.parametrize("kind", ["u1", "u2"])
@pytest.mark.parametrize("filters", ["none", "sub", "up"])
def test_png(tmp_path, size, channels, kind, filters):
    pixels = noise(size, kind, channels)
    flags = {"none": 8, "sub": 16, "up": 32}[filters]
    data = imagecodecs.png_encode(pixels, filter=flags)
    (tmp_path / "a.png").write_bytes(data)
    np.testing.assert_array_equal(imagecodecs.png_decode(data), pixels)
    np.testing.assert_array_equal(whole(tmp_path / "a.png"), pixels)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", ["u1", "u2"])
@pytest.mark.parametrize("options", [{}, {"compression": "adobe_deflate"}, {"predictor": 2}])
def test_tiff(tmp_path, size, kind, options):
    pixels = noise(size, kind, 4)
    if "predictor" in options:
        options = {"compression": "adobe_deflate", **options}
    path = tmp_path / "a.tif"
    tifffile.imwrite(
        path, pixels, photometric="rgb", extrasamples=["unassalpha"], byteorder="<",
        rowsperstrip=7, **options,
    )  # fmt: skip
    np.testing.assert_array_equal(tifffile.imread(path), pixels)
    np.testing.assert_array_equal(whole(path), pixels)


def test_pillow_writes_what_it_reads_or_it_says_nothing(tmp_path):
    picture = Image.fromarray(noise((40, 30), "u1", 3))
    picture.save(tmp_path / "a.tif", compression="tiff_adobe_deflate")
    np.testing.assert_array_equal(whole(tmp_path / "a.tif"), np.asarray(picture))
    picture.save(tmp_path / "lzw.tif", compression="tiff_lzw")
    picture.convert("P").save(tmp_path / "palette.png")
    picture.save(tmp_path / "a.jpg")
    for name in ("lzw.tif", "palette.png", "a.jpg"):
        assert second_rows(tmp_path / name) is None
    head = {"compression": OpenEXR.PIZ_COMPRESSION, "type": OpenEXR.scanlineimage}
    OpenEXR.File(head, {c: np.ones((4, 4), "f2") for c in "RGB"}).write(str(tmp_path / "p.exr"))
    assert second_rows(tmp_path / "p.exr") is None


def test_damage_is_refused(tmp_path):
    pixels = noise((40, 30), "u2", 3)
    (tmp_path / "a.png").write_bytes(imagecodecs.png_encode(pixels, filter=32))
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb", compression="adobe_deflate")
    head = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    planes = {c: noise((40, 30), "f2", 1)[..., 0] for c in "RGB"}
    OpenEXR.File(head, planes).write(str(tmp_path / "a.exr"))
    for name in ("a.png", "a.tif", "a.exr"):
        path = tmp_path / name
        whole(path)
        data = path.read_bytes()
        for broken in (data[: len(data) * 2 // 3], data[:-900] + bytes(500) + data[-400:]):
            path.write_bytes(broken)
            with pytest.raises(ImageError):
                whole(path)
    short = by_hand.png().replace(b"IDAT", b"IDAT", 1)
    rows = zlib.compress(bytes(13 * 3))
    whole_rows = by_hand.chunk(b"IDAT", zlib.compress(bytes(13 * 4)))
    (tmp_path / "short.png").write_bytes(short.replace(whole_rows, by_hand.chunk(b"IDAT", rows)))
    with pytest.raises(ImageError, match="rows are missing"):
        whole(tmp_path / "short.png")
