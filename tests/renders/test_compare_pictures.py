"""The pictures of a comparison, read back from their files by another library."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from tests.renders.balls import balls, written

from primecoat.renders.pictures.lettering import write
from primecoat.renders.pictures.scales import how_much, which_way
from primecoat.workflow import compare

NAMES = ["side-by-side", "difference", "exposure", "waveform", "chromaticity"]
AP1 = "lin_ap1_scene"


def drawn(folder):
    return {path.stem: np.asarray(Image.open(path).convert("RGB")) for path in folder.iterdir()}


@pytest.fixture
def brighter_right(tmp_path):
    """A picture against one whose right half is a stop brighter."""
    light = np.full((200, 400, 3), 0.18, np.float32)
    new = light.copy()
    new[:, 200:] *= 2
    one, two = written(tmp_path / "a.exr", light, AP1), written(tmp_path / "b.exr", new, AP1)
    compare(one, two, pictures=tmp_path / "out")
    return drawn(tmp_path / "out")


def test_all_pictures_are_there_and_tagged(tmp_path, brighter_right):
    assert sorted(brighter_right) == sorted(NAMES)
    with Image.open(tmp_path / "out" / "difference.png") as picture:
        assert "srgb" in picture.info


def test_difference_is_where_it_is(brighter_right):
    """Left nothing, right one level of the scale."""
    picture = brighter_right["difference"]
    left, right = picture[100, 100], picture[100, 300]
    assert left.tolist() == np.rint(how_much(np.zeros((1, 1)))[0, 0] * 255).tolist()
    assert right.sum() > left.sum() + 150


def test_exposure_has_a_sign(brighter_right):
    """One stop is the end of the scale: orange; no difference is the middle: dark grey."""
    picture = brighter_right["exposure"]
    ends = np.rint(which_way(np.array([[0.0, 1.0]]))[0] * 255)
    assert picture[100, 100].tolist() == ends[0].tolist()
    assert picture[100, 300].tolist() == ends[1].tolist()


def test_codes_stand_in_the_waveform_at_their_height(brighter_right):
    """Un-tone-mapped or not, 0.18 is code 89 through the ACES 2.0 view (OpenColorIO's own)."""
    waveform = brighter_right["waveform"]
    rows = np.flatnonzero(waveform[26 : 26 + 256, 12 + 30 + 5].max(axis=-1) > 200)
    assert rows.tolist() == [255 - 89]


def test_huge_picture_is_made_small(tmp_path):
    light = balls(3000, 1000)
    one = written(tmp_path / "a.exr", light, AP1)
    new = light.copy()
    new[500:502, 1500:1502] += 1  # four pixels of three million are still seen
    two = written(tmp_path / "b.exr", new, AP1)
    compare(one, two, pictures=tmp_path / "out")
    picture = drawn(tmp_path / "out")["difference"]
    assert max(picture.shape[:2]) <= 1000
    assert picture[26:-60].max() > 200


def test_letters_can_be_read():
    """An L is a stroke down and one across."""
    picture = np.zeros((7, 5, 3), np.float32)
    write(picture, "L", 0, 0, colour=(1, 1, 1))
    rows = ["".join("#" if dot else "." for dot in row) for row in picture[..., 0]]
    assert rows == ["#....", "#....", "#....", "#....", "#....", "#....", "#####"]
