"""Habits of the trade that the readings keep to (common practice, no source)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.reading.worlds import images_of, sheet
from tests.scenes import builders as b

from primecoat.images.oiio import write_pixels


def sky(path: Path, top: float = 500.0) -> None:
    """Write a high-range environment without any statement."""
    light = np.geomspace(0.01, top, 32 * 16, dtype=np.float32).reshape(16, 32, 1)
    write_pixels(path, light * np.array([0.8, 0.9, 1.0], dtype=np.float32))


@pytest.mark.parametrize("name", ["sky.hdr", "sky.exr"])
def test_environments_are_linear_rec709(name: str, tmp_path: Path):
    """An HDR environment is linear with Rec.709 primaries: likely, for habit settles nothing."""
    sky(tmp_path / name)
    image = images_of(sheet(tmp_path, f"{name},sky,environment,,,"))[name]
    assert (image.reading, image.standing) == ("lin_rec709_scene", "likely")
    assert image.content == "environment"


@pytest.mark.parametrize("dtype", ["uint8", "uint16"])
def test_base_colours_are_srgb_encoded_rec709(dtype: str, tmp_path: Path):
    """A base-colour picture is sRGB-encoded Rec.709: likely where nothing but habit says so."""
    (tmp_path / "a.png").write_bytes(b.png(3, dtype))
    image = images_of(sheet(tmp_path, "a.png,x,base_color,,,"))["a.png"]
    assert (image.reading, image.standing) == ("srgb_rec709_scene", "likely")
    assert any(e.prior and "common practice" in e.words for e in image.evidence)


@pytest.mark.parametrize("slot", ["normal", "roughness", "metalness", "height", "occlusion"])
def test_normal_and_roughness_maps_are_data(slot: str, tmp_path: Path):
    """Normal, roughness and their like are data, settled by the slot alone."""
    (tmp_path / "a.png").write_bytes(b.png())
    image = images_of(sheet(tmp_path, f"a.png,x,{slot},,,"))["a.png"]
    assert (image.reading, image.standing, image.content) == ("data", "settled", slot)


def test_8_bit_environment_is_no_linear_light(tmp_path: Path):
    """An 8-bit picture posing as environment is not called linear: it is unknown."""
    (tmp_path / "sky.png").write_bytes(b.png())
    image = images_of(sheet(tmp_path, "sky.png,sky,environment,,,"))["sky.png"]
    assert image.reading == "unknown"


def test_backplate_is_not_guessed(tmp_path: Path):
    """Whether a backplate is scene or display light nobody can tell from an sRGB statement."""
    (tmp_path / "plate.png").write_bytes(b.png(3, "uint8", b.chunk(b"sRGB", b"\0")))
    image = images_of(sheet(tmp_path, "plate.png,x,backplate,,,"))["plate.png"]
    assert image.standing == "unknown"
    best = {c.reading for c in image.judgement.candidates[:2]}
    assert best <= {"srgb_rec709_scene", "srgb_rec709_display"}


@pytest.mark.parametrize("name", ["a.png", "cup_color.png", "glaze.png"])
def test_a_name_without_token_leaves_it_open(name: str, tmp_path: Path):
    """A name without a token and an sRGB stamp settle nothing where the pixels tell nothing."""
    (tmp_path / name).write_bytes(b.png(3, "uint8", b.chunk(b"sRGB", b"\0")))
    image = images_of(tmp_path)[name]
    assert image.standing != "settled"


def test_tag_and_explicit_setting_agree(tmp_path: Path):
    """A token in the name and the same space declared in the scene give the same reading."""
    (tmp_path / "a_acescg.png").write_bytes(b.png())
    (tmp_path / "b.png").write_bytes(b.png())
    rows = "a_acescg.png,x,base_color,,,", "b.png,x,base_color,,acescg,"
    images = images_of(sheet(tmp_path, *rows))
    assert images["a_acescg.png"].reading == images["b.png"].reading == "lin_ap1_scene"
    assert images["a_acescg.png"].standing == images["b.png"].standing == "settled"
