"""Pixel statistics on pictures whose numbers are known."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from primecoat.errors import ImageError
from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.images.oiio import read_bands, read_pixels, write_pixels
from primecoat.images.pixel_sample import stride
from primecoat.images.read_header import read_header
from primecoat.images.statistics import ImageStatistics, measure


def measured(path: Path, pixels: np.ndarray) -> ImageStatistics:
    write_pixels(path, pixels)
    return measure(path, read_header(path))


def test_small_8_bit_picture(tmp_path: Path):
    red = np.array([[0, 51], [102, 255]])
    pixels = np.dstack([red, red, np.full_like(red, 255)]).astype(np.uint8)
    found = measured(tmp_path / "a.png", pixels)
    first, _, third = found.channels
    assert (found.pixels, found.sampled, found.exact) == (4, 4, False)
    assert (first.minimum, first.maximum, first.distinct) == (0.0, 1.0, 4)
    assert first.mean == pytest.approx(0.4)
    assert first.deviation == pytest.approx(np.std([0, 0.2, 0.4, 1.0]))
    assert (first.near_black, first.near_white) == (0.25, 0.25)
    assert (third.distinct, third.deviation, third.at_maximum) == (1, 0.0, 4)
    assert found.channel_difference == pytest.approx(2 / 3 * np.mean([1.0, 0.8, 0.6, 0.0]))
    assert found.correlation[0][1] == pytest.approx(1.0)
    assert found.correlation[0][2] is None
    assert found.alpha is None


def test_16_bit_keeps_its_steps(tmp_path: Path):
    ramp = np.arange(65536, dtype=np.uint16).reshape(256, 256, 1)
    (channel,) = measured(tmp_path / "a.png", ramp).channels
    assert channel.distinct == 65536
    assert channel.mean == pytest.approx(0.5)


@pytest.mark.parametrize("dtype", ["float16", "float32"])
def test_float_counts_are_exact(tmp_path: Path, dtype: str):
    pixels = np.full((700, 900, 3), 0.25, dtype=dtype)
    pixels[10, 20] = np.nan
    pixels[11, 21, 0] = np.inf
    pixels[12, 22, 1] = -np.inf
    pixels[13, 23:30, 2] = -0.5
    pixels[699, 890:899, 0] = 4096.0
    found = measured(tmp_path / "a.exr", pixels)
    red, green, blue = found.channels
    assert found.exact
    assert [(c.nan, c.infinite) for c in found.channels] == [(1, 1), (1, 1), (1, 0)]
    assert (red.maximum, red.at_maximum, red.above_one) == (4096.0, 9, 9)
    assert (green.maximum, green.at_maximum) == (0.25, 700 * 900 - 2)
    assert (blue.minimum, blue.negative) == (-0.5, 7)
    assert red.mean == pytest.approx((0.25 * (630000 - 11) + 9 * 4096) / (630000 - 2))
    json.dumps(found.as_document(), allow_nan=False)


@pytest.mark.parametrize("value", [np.nan, np.inf, 3.0e38, -3.0e38, 0.0, 1e-40])
def test_extreme_pictures_stay_plain_numbers(tmp_path: Path, value: float):
    found = measured(tmp_path / "a.exr", np.full((8, 8, 4), value, dtype=np.float32))
    text = json.dumps(found.as_document(), allow_nan=False)
    assert ImageStatistics.from_document(json.loads(text)) == found


def test_one_infinite_pixel_does_not_spread(tmp_path: Path):
    pixels = np.random.default_rng(1).random((64, 64, 3), dtype=np.float32)
    clean = measured(tmp_path / "a.exr", pixels)
    pixels[3, 3, 0] = np.inf
    spoilt = measured(tmp_path / "b.exr", pixels)
    assert spoilt.channels[1:] == clean.channels[1:]
    assert spoilt.channels[0].mean == pytest.approx(clean.channels[0].mean, abs=1e-3)
    assert spoilt.correlation[0][1] == pytest.approx(clean.correlation[0][1], abs=1e-2)


def test_documents_come_back(tmp_path: Path):
    pixels = np.random.default_rng(2).integers(0, 256, (32, 32, 4), dtype=np.uint8)
    found = measured(tmp_path / "a.png", pixels)
    assert found.normals is not None
    assert found.alpha is not None
    assert ImageStatistics.from_document(json.loads(json.dumps(found.as_document()))) == found


def test_alpha(tmp_path: Path):
    pixels = np.zeros((4, 4, 4), dtype=np.uint8)
    pixels[0] = (200, 200, 200, 0)  # colour under zero alpha
    pixels[1] = (0, 0, 0, 0)
    pixels[2] = (200, 10, 10, 128)  # more colour than alpha
    pixels[3] = (200, 10, 10, 255)
    alpha = measured(tmp_path / "a.png", pixels).alpha
    assert alpha is not None
    assert (alpha.transparent, alpha.colour_under_zero) == (0.5, 0.5)


def test_large_pictures_are_sampled_evenly(tmp_path: Path):
    size = 1024
    checker = np.indices((size, size)).sum(axis=0) // 4 % 2 * 255
    found = measured(tmp_path / "a.png", checker[..., None].astype(np.uint8))
    assert found.sampled < 130_000
    assert found.channels[0].mean == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize("size", [(1, 1), (1, 4_000_000), (4_000_000, 1), (3, 1_000_000)])
def test_stride_leaves_something(size: tuple[int, int]):
    step = stride(*size)
    assert step % 2 == 1
    assert -(-size[0] // step) * -(-size[1] // step) >= 1


def test_channels_go_by_name():
    assert colour_channels(("N.X", "N.Y", "N.Z", "R", "G", "B")) == (3, 4, 5)
    assert colour_channels(("N.X", "N.Y", "N.Z")) == (0, 1, 2)
    assert colour_channels(("diffuse.B", "diffuse.G", "diffuse.R", "Z")) == (2, 1, 0)
    assert colour_channels(("A", "Y")) == (1,)
    assert colour_channels(("A",)) == ()
    assert alpha_channel(("B", "G", "R", "A")) == 3
    assert alpha_channel(("diffuse.R", "diffuse.alpha")) == 1
    assert alpha_channel(("R", "Z")) is None


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.exr", "a.jpg"])
def test_bands_are_the_whole_picture(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    pixels = np.random.default_rng(3).integers(0, 256, (333, 60, 3), dtype=np.uint8)
    path = tmp_path / name
    write_pixels(path, pixels if name != "a.exr" else (pixels / 255).astype(np.float16))
    monkeypatch.setattr("primecoat.images.oiio._BAND_BYTES", 60 * 3 * 4 * 50)
    bands = list(read_bands(path))
    assert len(bands) > 1
    assert [first for first, _ in bands][1] == len(bands[0][1])
    assert np.array_equal(np.concatenate([band for _, band in bands]), read_pixels(path))


def test_cut_pixels_are_an_error(tmp_path: Path):
    path = tmp_path / "a.png"
    pixels = np.random.default_rng(4).integers(0, 256, (200, 200, 3), dtype=np.uint8)
    write_pixels(path, pixels)
    path.write_bytes(path.read_bytes()[:40_000])
    with pytest.raises(ImageError, match=r"a\.png"):
        measure(path, read_header(path))
