"""What storing the working space costs, as counted by files and as the bake itself says."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.bake.every_code import STRIDE, WAYS, Way, count
from tests.bake.files import bake, read, write


@pytest.mark.parametrize("way", WAYS, ids=lambda way: f"{way.number} {way.to_space}")
def test_codes_there_and_back(tmp_path: Path, way: Way):
    """Every 61st sRGB colour through whole files: the known share changes, by no more than known.

    The known figures are those of all 16.7 million (``python -m tests.bake.every_code``).
    """
    found = count(tmp_path, way, STRIDE)
    if way.share == 0.0:
        assert (found.share, found.greatest) == (0.0, 0)
    else:
        assert found.share == pytest.approx(way.share, abs=0.25 if way.share > 1 else 0.05)
        assert way.greatest - 3 <= found.greatest <= way.greatest
    if way.number == "8-bit":
        assert (found.said_share, found.said_greatest) == (found.share, found.greatest)
    else:
        assert found.said_share == 0.0


def test_the_cost_is_said_in_words(tmp_path: Path):
    """A bake to 8 bits says what it did to this very picture; a finer one has nothing to say."""
    pixels = np.full((4, 5, 3), 255, np.uint8)
    pixels[0] = (255, 0, 0)
    picture = write(tmp_path / "bowl.png", pixels)
    target, made = bake(picture, "eight.png", number="8-bit")
    back, _ = bake(target, "back.png", "lin_ap1_scene", "srgb_rec709_scene", number="8-bit")
    worst = int(np.abs(read(back).astype(int) - pixels).max())
    assert worst > 0
    words = f"25.0 % of its colours change on the way back, by up to {worst} of 255"
    hurt = np.count_nonzero((read(back) != pixels).any(axis=-1))
    assert hurt == 5
    assert made.cost == words
    assert bake(picture, "half.exr")[1].cost == ""
    assert bake(picture, "sixteen.png", number="16-bit")[1].cost == ""


@pytest.mark.parametrize("kind", ["half.exr", "16.png", "grey.png", "alpha.png"])
def test_the_cost_for_every_kind_of_source(tmp_path: Path, kind: str):
    """The count is the one by files, for floats, 16 bits, grey and pictures with alpha too."""
    chance = np.random.default_rng(2)
    channels = {"grey.png": 1, "alpha.png": 4}.get(kind, 3)
    made = chance.random((32, 32, channels))
    pixels = made.astype(np.float16) if kind == "half.exr" else np.rint(made * 65535)
    picture = write(tmp_path / kind, pixels.astype(np.float16 if kind == "half.exr" else np.uint16))
    reading = "srgb_rec709_scene"
    target, said = bake(picture, "eight.png", reading, "srgb_ap1_scene", number="8-bit")
    back, _ = bake(target, "back.png", "srgb_ap1_scene", reading, number="8-bit")
    same, _ = bake(picture, "same.png", reading, reading, number="8-bit")
    off = np.abs(read(back)[..., :3].astype(int) - read(same)[..., :3]).max(axis=-1)
    assert said.tally.colours == off.size
    assert said.tally.changed == np.count_nonzero(off)
    assert said.tally.greatest == off.max()
