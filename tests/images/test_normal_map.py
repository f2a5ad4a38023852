"""Normal maps are told from pictures, and damaged ones from sound ones, by their physics."""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.images import generated as g

from primecoat.images.normal_map import NormalJudgement, judge_normal_map
from primecoat.images.oiio import write_pixels
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

Array = NDArray[np.float64]


def codes(values: Array, bits: int = 8) -> NDArray[np.integer]:
    return np.asarray(np.rint(np.clip(values, 0.0, 1.0) * (2**bits - 1)), dtype=f"uint{bits}")


def judged(path: Path, data: bytes) -> NormalJudgement:
    path.write_bytes(data)
    judgement = judge_normal_map(measure(path, read_header(path)))
    assert judgement is not None
    return judgement


def encoded_file(values: Array, form: str, quality: int) -> tuple[str, bytes]:
    """Write as a PNG of 8 or 16 bits, or as a JPEG."""
    if form == "jpeg":
        out = io.BytesIO()
        Image.fromarray(codes(values)).save(out, "JPEG", quality=quality)
        return "jpg", out.getvalue()
    return "png", bytes(imagecodecs.png_encode(codes(values, 16 if form == "png16" else 8), 1))


def test_200_maps_of_which_half_are_damaged(tmp_path: Path):
    """Half through an sRGB curve; PNG and JPEG, 8 and 16 bits, noisy, of scaled strength."""
    rng = np.random.default_rng(20240601)
    outcome: Counter[tuple[bool, str]] = Counter()
    for number in range(200):
        damaged = number % 2 == 1
        values = g.normal_map(rng, 128, strength=float(rng.choice([0.3, 1.0, 2.0])))
        values = values + rng.normal(0.0, float(rng.choice([0.0, 0.01, 0.03])), values.shape)
        if number % 5 == 0:  # strength scaled without making the vectors unit length again
            values = (values - 0.5) * np.array([1.5, 1.5, 1.0]) + 0.5
        values = np.clip(values, 0.0, 1.0)
        if damaged and number % 3:
            values = codes(values) / 255  # it was an 8-bit map when the curve hit it
        values = g.srgb_encoded(values) if damaged else values
        form = ("png8", "png16", "jpeg", "png8")[number // 2 % 4]
        suffix, data = encoded_file(values, form, int(rng.integers(60, 96)))
        judgement = judged(tmp_path / f"{number}.{suffix}", data)
        outcome[damaged, judgement.damage] += 1
    assert outcome[False, "none"] == 100  # none called damaged that is not
    assert outcome[True, "srgb_encoded"] >= 98  # 99 % of 200


def test_maps_decoded_once_too_often(tmp_path: Path):
    rng = np.random.default_rng(5)
    for number in range(20):
        values = g.srgb_decoded(g.normal_map(rng))
        suffix, data = encoded_file(values, "png16", 0)
        assert judged(tmp_path / f"{number}.{suffix}", data).damage == "srgb_decoded"


@pytest.mark.parametrize(
    ("colour", "is_normal", "damage"),
    [
        ((128, 128, 255), True, "none"),
        ((127, 127, 255), True, "none"),
        ((188, 188, 255), True, "srgb_encoded"),
        ((55, 55, 255), True, "srgb_decoded"),
        ((140, 130, 240), False, "none"),
        ((150, 140, 230), False, "none"),
        ((135, 206, 235), False, "none"),
        ((128, 128, 128), False, "none"),
        ((188, 188, 188), False, "none"),
        ((0, 0, 255), False, "none"),
        ((255, 255, 255), False, "none"),
        ((0, 0, 0), False, "none"),
    ],
)
def test_flat_colours(colour: tuple[int, int, int], is_normal: bool, damage: str, tmp_path: Path):
    pixels = np.full((16, 16, 3), colour, dtype=np.uint8)
    judgement = judged(tmp_path / "flat.png", bytes(imagecodecs.png_encode(pixels)))
    assert (judgement.is_normal, judgement.damage) == (is_normal, damage)


def test_healthy_maps_count_as_normal_maps(tmp_path: Path):
    rng = np.random.default_rng(6)
    judgements = []
    for number in range(40):
        suffix, data = encoded_file(g.normal_map(rng), ("png8", "jpeg")[number % 2], 80)
        judgements.append(judged(tmp_path / f"{number}.{suffix}", data))
    assert all(j.is_normal for j in judgements[::2])  # every one kept without loss
    assert sum(j.is_normal for j in judgements) >= 38
    assert all(j.strength > 0 and j.damage_strength == 0 for j in judgements)


def test_colour_pictures_do_not(tmp_path: Path):
    rng = np.random.default_rng(8)
    lavender, violet, blue = (0.55, 0.5, 0.9), (0.5, 0.5, 0.98), (0.35, 0.5, 0.9)
    for number in range(30):
        pictures = {
            "sky": g.sky(rng),
            "lavender": g.cloth(rng, lavender),
            "violet": g.cloth(rng, violet),  # as near to the flat normal as cloth can get
            "blue": g.cloth(rng, blue),
            "colours": g.colours(rng),
        }
        for name, values in pictures.items():
            suffix, data = encoded_file(values, "png8", 0)
            judgement = judged(tmp_path / f"{name}{number}.{suffix}", data)
            assert not judgement.is_normal, (name, judgement)


def test_lossy_map_of_no_unit_length_is_not_called_damaged(tmp_path: Path):
    """Filtered to half its bend, its vectors fit better after the curve; their mean does not."""
    vectors = g.normal_map(np.random.default_rng(9), 128, strength=2.0) * 2 - 1
    values = vectors * 0.85 / 2 + 0.5
    suffix, data = encoded_file(values, "jpeg", 70)
    judgement = judged(tmp_path / f"short.{suffix}", data)
    assert judgement.damage == "none"


def test_tilted_scan_is_not_called_damaged(tmp_path: Path):
    vectors = g.normal_map(np.random.default_rng(10)) * 2 - 1
    vectors[..., :2] += 0.35
    vectors /= np.linalg.norm(vectors, axis=2, keepdims=True)
    suffix, data = encoded_file(vectors / 2 + 0.5, "png8", 0)
    assert judged(tmp_path / f"tilted.{suffix}", data).damage == "none"


def test_float_maps_that_hold_minus_one_to_one(tmp_path: Path):
    vectors = (g.normal_map(np.random.default_rng(11)) * 2 - 1).astype(np.float32)
    write_pixels(tmp_path / "signed.exr", vectors)
    judgement = judge_normal_map(
        measure(tmp_path / "signed.exr", read_header(tmp_path / "signed.exr"))
    )
    assert judgement is not None
    assert judgement.is_normal
    assert judgement.damage == "none"
    assert "-1 to 1" in judgement.words


def test_nothing_is_said_without_three_channels(tmp_path: Path):
    write_pixels(tmp_path / "grey.png", np.full((4, 4, 1), 128, dtype=np.uint8))
    found = measure(tmp_path / "grey.png", read_header(tmp_path / "grey.png"))
    assert judge_normal_map(found) is None
