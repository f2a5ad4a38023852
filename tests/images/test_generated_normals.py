"""Damage and the direction of green on a deterministic stream of normal maps."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from tests.images.generated_normals import (
    DAMAGES,
    SURFACES,
    GeneratedMap,
    codes,
    encoded_file,
    generated_maps,
    height_field,
    unit_normals,
)

from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.normal_map import judge_normal_map
from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure


def measured(folder: Path, made: GeneratedMap) -> ImageStatistics:
    path = folder / f"map.{made.suffix}"
    path.write_bytes(made.data)
    return measure(path, read_header(path))


@pytest.mark.parametrize("seed", [1, 7])
def test_damage_on_200_maps(seed: int, tmp_path: Path):
    """At least 99 % told apart; none called damaged that is not; none taken for other damage.

    Eight surfaces; noise, lossy files, scaled strength, averaging, a constant blue; 8 and 16 bits.
    """
    outcome: Counter[tuple[str, str]] = Counter()
    for made in generated_maps(seed, 200):
        judged = judge_normal_map(measured(tmp_path, made), known=True)
        assert judged is not None
        outcome[made.damage, judged.damage] += 1
        assert judged.damage in (made.damage, "none"), made.words
        if made.damage != judged.damage:
            assert not judged.damage_told, made.words
    print(outcome)
    assert outcome["none", "none"] == 100
    assert sum(n for (truth, told), n in outcome.items() if truth == told) >= 198


def test_curves_applied_twice(tmp_path: Path):
    right = 0
    damages = (*DAMAGES, "srgb_encoded_twice", "srgb_decoded_twice")
    for made in generated_maps(3, 100, damages=damages):
        judged = judge_normal_map(measured(tmp_path, made), known=True)
        assert judged is not None
        assert made.damage != "none" or judged.damage == "none", made.words
        right += judged.damage == made.damage
    assert right >= 99


def test_green_is_told_by_the_curl(tmp_path: Path):
    """Both directions, sound and damaged maps alike: never wrong, often told."""
    told, count = 0, 0
    for made in generated_maps(4, 120):
        green = measured(tmp_path, made).green
        if green is None:
            continue
        count += 1
        if green.green != "undecided":
            told += 1
            assert green.green == ("up" if made.green_up else "down"), made.words
            assert green.strength > 0
            assert (green.agreement < 0) == made.green_up
    assert told >= 0.6 * count


@pytest.mark.parametrize("form", ["png8", "png16", "jpeg"])
def test_green_stays_undecided_on_straight_grooves(form: str, tmp_path: Path):
    x = np.arange(128) / 128
    grooves = np.sin(2 * np.pi * 6 * x)[None, :] * np.ones((128, 1))
    values = unit_normals(grooves, 0.5, green_up=True) / 2 + 0.5
    suffix, data = encoded_file(values, form, 80)
    path = tmp_path / f"map.{suffix}"
    path.write_bytes(data)
    green = measure(path, read_header(path)).green
    assert green is None or (green.green == "undecided" and green.strength == 0.0)


@pytest.mark.parametrize("up", [True, False])
def test_two_channels(up: bool, tmp_path: Path):
    """Red and green alone, blue constant: inside the unit circle, level, integrable."""
    rng = np.random.default_rng(5)
    vectors = unit_normals(height_field(rng, "stone", 128), 0.6, green_up=up)
    values = vectors / 2 + 0.5
    values[..., 2] = 0.0
    write_pixels(tmp_path / "a.png", codes(values))
    found = measure(tmp_path / "a.png", read_header(tmp_path / "a.png")).two_channel
    assert found is not None
    stored, decoded = found.fit("stored"), found.fit("decode")
    assert stored is not None
    assert decoded is not None
    assert found.third == "constant"
    assert stored.inside == 1.0
    assert stored.tilt < 0.05 < decoded.tilt
    assert found.green is not None
    assert found.green.green == ("up" if up else "down")


def test_object_space(tmp_path: Path):
    """A sphere's own normals point all ways: unit length on both sides of a surface."""
    y, x = np.mgrid[0:128, 0:128] / 128
    turn, height = 2 * np.pi * x, np.pi * y
    vectors = np.dstack(
        [np.cos(turn) * np.sin(height), np.cos(height), np.sin(turn) * np.sin(height)]
    )
    write_pixels(tmp_path / "a.png", codes(vectors / 2 + 0.5))
    judged = judge_normal_map(measure(tmp_path / "a.png", read_header(tmp_path / "a.png")))
    assert judged is not None
    assert (judged.kind, judged.damage) == ("object", "none")
    assert "object space" in judged.words


def test_the_stream_is_deterministic_and_sound():
    first, second = list(generated_maps(9, 12)), list(generated_maps(9, 12))
    assert [m.data for m in first] == [m.data for m in second]
    for surface in SURFACES:
        field = height_field(np.random.default_rng(1), surface, 64)
        lengths = np.linalg.norm(unit_normals(field, 0.4, green_up=True), axis=2)
        assert np.allclose(lengths, 1.0)
