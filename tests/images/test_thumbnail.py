"""Thumbnails are small, plain, and show what is there."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.thumbnail import thumbnail


def shown(path: Path, pixels: np.ndarray, **options: object) -> np.ndarray:
    write_pixels(path, pixels)
    data = thumbnail(path, read_header(path), **options)  # type: ignore[arg-type]
    assert data.startswith(b"\x89PNG")
    assert b"sRGB" not in data
    picture = Image.open(io.BytesIO(data))
    assert picture.mode == "RGB"
    return np.asarray(picture)


@pytest.mark.parametrize(
    ("size", "expected"),
    [((480, 320), (107, 160)), ((320, 480), (160, 107)), ((8, 8), (8, 8)), ((5000, 2), (1, 160))],
)
def test_size(size: tuple[int, int], expected: tuple[int, int], tmp_path: Path):
    width, height = size
    pixels = np.full((height, width, 3), 90, dtype=np.uint8)
    small = shown(tmp_path / "a.png", pixels)
    assert small.shape == (*expected, 3)
    assert (small == 90).all()


def test_boxes_average_codes(tmp_path: Path):
    checker = (np.indices((320, 320)).sum(axis=0) % 2 * 255).astype(np.uint8)
    small = shown(tmp_path / "a.png", np.dstack([checker] * 3))
    assert set(np.unique(small)) <= {127, 128}


def test_grey_and_16_bit(tmp_path: Path):
    small = shown(tmp_path / "a.png", np.full((4, 4, 1), 128 * 257, dtype=np.uint16))
    assert (small == 128).all()


def test_float_is_seen_through_the_view(tmp_path: Path):
    """Mid-grey becomes code 89. Source: ACES 2.0 SDR view of the pinned config, measured."""
    pixels = np.full((8, 8, 3), 0.18, dtype=np.float32)
    small = shown(tmp_path / "a.exr", pixels, reading="lin_ap1_scene")
    assert abs(int(small.mean()) - 89) <= 1
    as_data = shown(tmp_path / "b.exr", pixels, reading="data")
    assert abs(int(as_data.mean()) - 46) <= 1


def test_alpha_over_a_checker(tmp_path: Path):
    pixels = np.zeros((32, 32, 4), dtype=np.uint8)
    pixels[...] = (255, 0, 0, 0)  # red under zero alpha must not shine through
    small = shown(tmp_path / "a.png", pixels)
    assert (small == small[..., :1]).all()
    assert len(np.unique(small)) == 2
    pixels[..., 3] = 255
    assert (shown(tmp_path / "b.png", pixels) == (255, 0, 0)).all()


def test_nan_and_infinity_stay_where_they_are(tmp_path: Path):
    pixels = np.full((320, 320, 3), 0.18, dtype=np.float32)
    pixels[0, 0] = np.nan
    pixels[319, 319] = np.inf
    small = shown(tmp_path / "a.exr", pixels)
    assert np.ptp(small[1:-1, 1:-1].astype(int)) <= 1
    assert small[-1, -1].min() > 200
