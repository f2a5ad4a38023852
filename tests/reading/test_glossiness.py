"""Maps that are inverses of one another: roughness is told from glossiness.

Glossiness is 1 - roughness (common practice, no source).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.reading.worlds import images_of, sheet

from primecoat.reading.judgement import ImageReading


def field(seed: int = 4) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(size=(96, 96)).cumsum(axis=0).cumsum(axis=1)
    return np.asarray(40 + 150 * (noise - noise.min()) / np.ptp(noise))


def save(path: Path, values: np.ndarray) -> None:
    Image.fromarray(np.rint(values).astype(np.uint8)).save(path)


def told(image: ImageReading) -> list[str]:
    return [e.words for e in image.evidence if "exact inverse" in e.words]


def test_glossiness_in_the_roughness_slot(tmp_path: Path):
    """Its slot and its own name do not tell, but it runs against the map named roughness."""
    save(tmp_path / "bowl_roughness.png", field())
    save(tmp_path / "bowl_two.png", 255 - field())
    save(tmp_path / "bowl_height.png", field(5))
    rows = [f"bowl_{name}.png,glaze,roughness,r,," for name in ("two", "roughness")]
    images = images_of(sheet(tmp_path, *rows, "bowl_height.png,glaze,height,r,,"))
    two = images["bowl_two.png"]
    assert (two.reading, two.content) == ("data", "glossiness")
    assert told(two) == [
        "It is the exact inverse of bowl_roughness.png in its set: it is glossiness, and the other "
        "one roughness."
    ]
    assert images["bowl_roughness.png"].content == "roughness"
    assert told(images["bowl_height.png"]) == []


def test_slots_alone_tell(tmp_path: Path):
    save(tmp_path / "bowl_one.png", field())
    save(tmp_path / "bowl_two.png", 255 - field())
    target = sheet(tmp_path, "bowl_one.png,glaze,glossiness,r,,", "bowl_two.png,rim,other_data,r,,")
    assert images_of(target)["bowl_two.png"].content == "roughness"
    unheard = images_of(target, without=("slot",))["bowl_two.png"]
    assert told(unheard) == []


def test_two_that_are_both_called_roughness(tmp_path: Path):
    save(tmp_path / "bowl_roughness.png", field())
    save(tmp_path / "bowl_rough.png", 255 - field())
    images = images_of(tmp_path)
    (words,) = told(images["bowl_rough.png"])
    assert words.endswith("both are called roughness: one of the two is glossiness.")


def test_after_a_lossy_file(tmp_path: Path):
    for name, values, quality in (("roughness", field(), 80), ("x", 255 - field(), 70)):
        picture = Image.fromarray(np.rint(values).astype(np.uint8))
        picture.save(tmp_path / f"a_{name}.jpg", quality=quality)
    assert images_of(tmp_path)["a_x.jpg"].content == "glossiness"


@pytest.mark.parametrize("other", ["stranger", "same", "metalness", "mask", "flat", "part"])
def test_no_false_alarm(other: str, tmp_path: Path):
    """Strangers, equals, metalness against roughness, a mask and its inverse, flat ones."""
    rough = field()
    first, second = {
        "stranger": (rough, 255 - field(9)),
        "same": (rough, rough),
        "metalness": (np.where(rough > 110, 200.0, 90.0), np.where(rough > 110, 0.0, 255.0)),
        "mask": (rough, 255 - rough),
        "flat": (np.full_like(rough, 100.0), np.full_like(rough, 155.0)),
        "part": (rough, 255 - np.where(np.arange(96) < 40, rough, field(9))),
    }[other]
    save(tmp_path / f"bowl_{'dirtmask' if other == 'mask' else 'roughness'}.png", first)
    save(tmp_path / "bowl_other.png", second)
    for image in images_of(tmp_path).values():
        assert told(image) == []
