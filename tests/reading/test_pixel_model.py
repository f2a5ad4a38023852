"""The pixel model: its sum, its limits, its words, and a few pictures whose kind is plain."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.reading.worlds import images_of
from tests.scenes import builders as b

from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure
from primecoat.reading.pixel_facts import LAYOUTS, WORDS, facts_of, layout_of
from primecoat.reading.pixel_model import judge_pixels, models


def measured(folder: Path, pixels: np.ndarray):
    path = folder / "a.png"
    write_pixels(path, pixels)
    header = read_header(path)
    return header, measure(path, header)


def rough(seed: int, channels: int = 1) -> np.ndarray:
    """Return smooth noise, each channel its own, as codes."""
    generator = np.random.default_rng(seed)
    noise = generator.normal(size=(96, 96, channels)).cumsum(axis=0).cumsum(axis=1)
    low, high = noise.min(axis=(0, 1)), noise.max(axis=(0, 1))
    return np.asarray(np.rint(255 * (noise - low) / (high - low)), dtype=np.uint8)


@pytest.mark.parametrize("channels", [1, 3])
def test_strength_is_the_sum_of_the_parts(channels: int, tmp_path: Path):
    """The strength is base and parts, held within the limit; NumPy's interpolation is the rule."""
    header, statistics = measured(tmp_path, rough(1, channels))
    model, facts = models()[layout_of(statistics)], facts_of(header, statistics)
    total = model.base + sum(
        np.interp(facts[name], line.knots, line.parts) for name, line in model.lines.items()
    )
    judged = judge_pixels(header, statistics)
    assert judged is not None
    assert judged.strength == pytest.approx(np.clip(total, -model.limit, model.limit))


def test_models_name_known_facts_and_hold_their_limits():
    """Every fact has words; knots rise; no layout may settle anything by itself (99 to 1)."""
    for layout, model in models().items():
        assert layout in LAYOUTS
        assert model.limit < np.log(99)
        assert abs(model.frequency) < np.log(99)
        assert model.pictures > 100
        for name, line in model.lines.items():
            assert name in WORDS
            assert list(line.knots) == sorted(set(line.knots))
            assert len(line.knots) == len(line.parts)


def test_facts_are_finite_for_extreme_pictures(tmp_path: Path):
    """Black, white and one-pixel pictures have facts, and a judgement within the limits."""
    ramp = np.arange(81, dtype=np.uint8).reshape(9, 9)
    for pixels, tells in (
        (np.zeros((1, 1, 3), np.uint8), False),
        (np.full((40, 40, 3), 255, np.uint8), False),
        (np.zeros((40, 40, 1), np.uint8), False),
        (np.dstack([ramp, ramp * 0, ramp * 0 + 255]), True),
    ):
        header, statistics = measured(tmp_path, pixels)
        assert all(np.isfinite(value) for value in facts_of(header, statistics).values())
        judged = judge_pixels(header, statistics)
        assert judged is not None
        assert (judged.strength != 0.0) == tells
        assert abs(judged.strength) < 0.1  # 81 pixels tell next to nothing


def test_unrelated_channels_are_data(tmp_path: Path):
    """Three channels that have nothing to do with one another are a packed map, not a picture."""
    occlusion = 255 - rough(2).astype(float) ** 2 / 255 * 0.6
    metal = 255.0 * (rough(6) > 140)
    packed = np.dstack([occlusion, 90 + 0.4 * rough(8).astype(float), metal])
    header, statistics = measured(tmp_path, np.rint(packed).astype(np.uint8))
    judged = judge_pixels(header, statistics)
    assert judged is not None
    assert judged.layout == "colour"
    assert judged.strength < 0
    assert judged.words.startswith("a picture with three channels that differ")


def test_light_on_paint_is_colour(tmp_path: Path):
    """One pattern in one tint, with a little of another, is a picture of a coloured thing."""
    tone = rough(3).astype(float) / 255
    other = rough(4).astype(float) / 255
    paint = np.array([0.8, 0.5, 0.3]) * (0.3 + 0.6 * tone) + 0.08 * other * [0.2, 0.6, 1.0]
    header, statistics = measured(tmp_path, np.rint(255 * np.clip(paint, 0, 1)).astype(np.uint8))
    judged = judge_pixels(header, statistics)
    assert judged is not None
    assert judged.strength > 0


def test_normal_map_is_left_to_its_own_fit(tmp_path: Path):
    """A clear normal map has one piece of pixel evidence, not two that say the same."""
    (tmp_path / "a.png").write_bytes(b.png_of(b.normal_pixels()))
    pixels = [e for e in images_of(tmp_path)["a.png"].evidence if e.witness == "pixels"]
    assert [e.content for e in pixels] == ["normal"]
