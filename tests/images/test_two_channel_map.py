"""Normal maps of two channels, in every place where they are stored, and what only looks so.

The truth is computed here: slopes of a height field by central differences, made unit length;
green up as glTF 2.0, section 3.9.3 has it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.images.generated import smooth_noise
from tests.reading.worlds import images_of

from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure
from primecoat.images.two_channel_map import TwoChannelJudgement, judge_two_channels

Array = NDArray[np.float64]
SIDE = 160


def bumps(seed: int = 2) -> Array:
    """Return heights of round bumps and some grain, which tile."""
    rng = np.random.default_rng(seed)
    row, column = np.mgrid[0:SIDE, 0:SIDE] / SIDE
    height = 0.2 * smooth_noise(rng, SIDE, 1.8)
    for x, y, radius in rng.uniform((0, 0, 0.03), (1, 1, 0.1), (25, 3)):
        along, down = (column - x + 0.5) % 1 - 0.5, (row - y + 0.5) % 1 - 0.5
        height = height + np.exp(-(along**2 + down**2) / (2 * (radius / 2) ** 2))
    return height


def stored(height: Array, steepness: float, *, up: bool) -> tuple[Array, Array]:
    """Return x and y as stored, 0 to 1."""
    right = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) / 2
    down = (np.roll(height, -1, 0) - np.roll(height, 1, 0)) / 2
    scale = steepness / np.sqrt(np.mean(right**2 + down**2))
    x, y = -scale * right, scale * down * (1 if up else -1)
    length = np.sqrt(x * x + y * y + 1)
    return x / length / 2 + 0.5, y / length / 2 + 0.5


def codes(*channels: Array) -> NDArray[np.uint8]:
    return np.rint(255 * np.clip(np.dstack(channels), 0, 1)).astype(np.uint8)


def save(folder: Path, form: str, x: Array, y: Array) -> Path:
    """Write the two channels in a usual place."""
    one, half = np.ones_like(x), np.full_like(x, 0.5)
    path = folder / f"bowl_two.{'exr' if form == 'red_green' else 'png'}"
    pictures = {
        "grey_alpha": (x, y),
        "grey_alpha_turned": (y, x),
        "alpha_green": (one, y, one, x),
        "alpha_green_in_grey": (y, y, y, x),
        "blue_empty": (x, y, 0 * x),
        "blue_grey": (x, y, half),
    }
    if form == "red_green":
        planes = {"R": x.astype(np.float16), "G": y.astype(np.float16)}
        OpenEXR.File({}, planes).write(str(path))
    else:
        Image.fromarray(codes(*pictures[form])).save(path)
    return path


def judged(path: Path) -> TwoChannelJudgement | None:
    return judge_two_channels(measure(path, read_header(path)))


FORMS = (
    "red_green", "grey_alpha", "grey_alpha_turned", "alpha_green", "alpha_green_in_grey",
    "blue_empty", "blue_grey",
)  # fmt: skip


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("steepness", [0.08, 0.5])
@pytest.mark.parametrize("form", FORMS)
def test_wherever_they_are_stored(form: str, steepness: float, up: bool, tmp_path: Path):
    x, y = stored(bumps(), steepness, up=up)
    found = judged(save(tmp_path, form, x, y))
    assert found is not None
    assert found.is_normal
    assert found.storage == "stored"
    assert found.green == ("up" if up else "down")


@pytest.mark.parametrize("form", FORMS)
def test_reading_and_content(form: str, tmp_path: Path):
    """The pixels say so in words; no name and no slot helps."""
    x, y = stored(bumps(), 0.4, up=True)
    path = save(tmp_path, form, x, y)
    path.rename(path.with_stem("bowl"))
    (image,) = images_of(tmp_path).values()
    assert (image.reading, image.content) == ("data", "normal")
    words = [e.words for e in image.evidence if e.witness == "pixels"]
    assert any("normal map of two channels" in w and "green up" in w for w in words), words


@pytest.mark.parametrize("seed", range(12))
def test_packed_maps_are_not_taken_for_one(seed: int, tmp_path: Path):
    """Roughness about 0.5 and metalness, or height and occlusion, of the same surface."""
    height = bumps(seed)
    level = (height - height.min()) / np.ptp(height)
    rough = 0.3 + 0.4 * level[::-1] + 0.05 * smooth_noise(np.random.default_rng(seed), SIDE, 1.0)
    second = (level > 0.4).astype(float) if seed % 2 else 0.5 + 0.4 * (level - level.mean())
    for form in ("grey_alpha", "alpha_green", "blue_empty", "blue_grey"):
        found = judged(save(tmp_path, form, rough, second))
        assert found is None or not found.is_normal


@pytest.mark.parametrize("seed", range(6))
def test_a_grey_picture_with_alpha_is_not_taken_for_one(seed: int, tmp_path: Path):
    tones = 0.5 + 0.12 * smooth_noise(np.random.default_rng(seed), SIDE, 2.0)
    row, column = np.mgrid[0:SIDE, 0:SIDE] / SIDE - 0.5
    alpha = np.clip((0.45 - np.hypot(row, column)) / (0.02 if seed % 2 else 0.4), 0, 1)
    found = judged(save(tmp_path, "grey_alpha", tones, alpha))
    assert found is None or not found.is_normal
    (image,) = images_of(tmp_path).values()
    assert image.content != "normal"


@pytest.mark.parametrize("seed", range(8))
def test_a_stream_in_red_and_green_is_not_taken_for_one(seed: int, tmp_path: Path):
    """The flow along the level lines of a field has no divergence, and is no slope of a surface."""
    stream = smooth_noise(np.random.default_rng(seed), SIDE, 2.4)
    x, y = stored(stream, 0.4, up=True)
    found = judged(save(tmp_path, "blue_empty", 1 - y, x))
    assert found is None or not found.is_normal


def test_directions_in_the_plane_are_not_taken_for_one(tmp_path: Path):
    """Hair and brushing have whole length in x and y: a surface seen edge on everywhere."""
    x, y = stored(bumps(), 1.0, up=True)
    length = 2 * np.hypot(x - 0.5, y - 0.5) + 1e-9
    found = judged(save(tmp_path, "blue_empty", (x - 0.5) / length + 0.5, (y - 0.5) / length + 0.5))
    assert found is None or not found.is_normal


def test_a_flat_map_tells_nothing(tmp_path: Path):
    half = np.full((SIDE, SIDE), 0.5)
    assert judged(save(tmp_path, "grey_alpha", half, half)) is None
