"""A picture that cannot be written: what failed, on what, what was found, what to do."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from primecoat.errors import ImageError
from primecoat.images.oiio import write_pixels

PIXELS = np.zeros((4, 6, 3), dtype=np.uint8)


def refused(path: Path, pixels: np.ndarray) -> ImageError:
    with pytest.raises(ImageError) as caught:
        write_pixels(path, pixels)
    assert str(path) in caught.value.message
    assert caught.value.remedy.endswith(".")
    return caught.value


def test_ending_of_no_format(tmp_path: Path):
    assert ".exr" in refused(tmp_path / "a.cup", PIXELS).remedy


def test_folder_that_is_not_there(tmp_path: Path):
    error = refused(tmp_path / "gone" / "a.png", PIXELS)
    assert "6 x 4, 3 channels, uint8" in error.message
    assert "folder" in error.remedy


def test_channels_that_the_format_cannot_hold(tmp_path: Path):
    error = refused(tmp_path / "a.hdr", np.zeros((4, 4, 7), dtype=np.float32))
    assert "7 channels" in error.message
    assert "OpenEXR" in error.remedy
