"""Alpha: never converted, colour under it never lost, edges right (trap T1 of needs)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image
from tests.bake.files import FLOAT32, bake, planes_of, read, rounding, tags_of, values, write
from tests.bake.independent import converted
from tests.bake.test_channels import write as write_planes

SRGB, AP1, REC709 = "srgb_rec709_scene", "lin_ap1_scene", "lin_rec709_scene"


@pytest.mark.parametrize(("name", "number"), [("o.exr", "float"), ("o.png", "16-bit")])
def test_colour_under_alpha_zero_survives_a_curve(tmp_path: Path, name: str, number: str):
    """RGB = 200 under A = 0 is decoded like any other 200."""
    pixels = np.zeros((4, 4, 4), np.uint8)
    pixels[..., :3] = 200
    Image.fromarray(pixels).save(tmp_path / "leaf.png")
    found = read(bake(tmp_path / "leaf.png", name, number=number)[0])
    wanted = converted(values(pixels[..., :3]), SRGB, AP1)
    assert (np.abs(values(found[..., :3]) - wanted) <= rounding(found, wanted) + FLOAT32).all()
    assert not found[..., 3].any()


def test_colour_under_alpha_zero_survives_identity(tmp_path: Path):
    """From a space to itself every code is as before, under any alpha."""
    pixels = np.random.default_rng(1).integers(0, 256, (64, 64, 4), dtype=np.uint8)
    pixels[:8] = (200, 200, 200, 0)
    Image.fromarray(pixels).save(tmp_path / "leaf.png")
    for number, factor in (("8-bit", 1), ("16-bit", 257)):
        target, _ = bake(tmp_path / "leaf.png", "o.png", SRGB, SRGB, number=number)
        assert np.array_equal(read(target), pixels.astype(int) * factor)


@pytest.mark.parametrize("name", ["o.png", "o.tif", "o.exr"])
def test_gloss_in_alpha_is_identical(tmp_path: Path, name: str):
    """16-bit RGBA whose A is gloss (glTF, KHR_materials_pbrSpecularGlossiness): A is no colour."""
    pixels = np.random.default_rng(2).integers(0, 65536, (32, 32, 4), dtype=np.uint16)
    picture = write(tmp_path / "gloss.png", pixels)
    number = "float" if name == "o.exr" else "16-bit"
    found = read(bake(picture, name, number=number)[0])
    if found.dtype == np.uint16:
        assert np.array_equal(found[..., 3], pixels[..., 3])
    else:
        gloss = (pixels[..., 3] / np.float32(65535)).astype(np.float32)
        assert np.array_equal(found[..., 3], gloss)
    wanted = converted(values(pixels[..., :3]), SRGB, AP1)
    assert (np.abs(values(found[..., :3]) - wanted) <= rounding(found, wanted) + FLOAT32).all()


@pytest.mark.parametrize(
    ("reading", "to_space"), [(SRGB, AP1), (REC709, AP1), (REC709, "srgb_ap1_scene")]
)
def test_multiplied_edges_are_analytic(tmp_path: Path, reading: str, to_space: str):
    """Colour times alpha becomes converted colour times alpha, to 1e-6 in float."""
    colour = np.array([0.8, 0.4, 0.2])
    alpha = np.linspace(0, 1, 101)[None, :, None]
    pixels = np.concatenate([colour * alpha, alpha], axis=-1).astype(np.float32)
    picture = write(tmp_path / "edge.exr", pixels)
    found = read(bake(picture, "o.exr", reading, to_space)[0])
    wanted = converted(colour, reading, to_space) * alpha
    assert np.abs(found[..., :3] - wanted)[:, 1:].max() <= 1e-6
    assert np.array_equal(found[..., 3:], pixels[..., 3:])


def test_png_is_never_multiplied(tmp_path: Path):
    """A multiplied picture is divided on its way into PNG, which forbids multiplied colour.

    Source: W3C *PNG Specification (Third Edition)*, section 6.2.
    """
    colour = np.array([0.8, 0.4, 0.2])
    alpha = np.linspace(0.1, 1, 91)[None, :, None]
    picture = write(
        tmp_path / "edge.exr", np.concatenate([colour * alpha, alpha], -1).astype(np.float32)
    )
    for reading in (REC709, SRGB):
        found = values(read(bake(picture, "o.png", reading, AP1, number="16-bit")[0]))
        assert np.abs(found[..., :3] - converted(colour, reading, AP1)).max() <= 1e-5
        assert np.abs(found[..., 3:] - alpha).max() <= 0.5 / 65535 + 1e-7


@pytest.mark.parametrize(("kind", "code"), [("assocalpha", 1), ("unassalpha", 2)])
def test_tiff_says_whether_it_is_multiplied(tmp_path: Path, kind: str, code: int):
    """ExtraSamples (TIFF 6.0, tag 338) of the result is that of the source, and so is the edge."""
    colour, alpha = np.array([0.8, 0.4, 0.2]), np.linspace(0.2, 1, 81)[None, :, None]
    seen = colour * (alpha if code == 1 else np.ones_like(alpha))
    pixels = np.rint(np.concatenate([seen, alpha], -1) * 65535).astype(np.uint16)
    tifffile.imwrite(tmp_path / "edge.tif", pixels, photometric="rgb", extrasamples=[kind])
    target, _ = bake(tmp_path / "edge.tif", "o.tif", SRGB, AP1, number="16-bit")
    assert tuple(tags_of(target)[338]) == (code,)
    found = values(read(target))
    wanted = converted(colour, SRGB, AP1) * (alpha if code == 1 else 1.0)
    assert np.abs(found[..., :3] - wanted).max() <= 1e-4
    assert np.array_equal(read(target)[..., 3], pixels[..., 3])


def test_a_layer_without_alpha_takes_that_of_the_picture(tmp_path: Path):
    """A coat layer's colour is multiplied by the picture's alpha, and divided by it for a curve."""
    alpha = np.full((8, 8), 0.5, np.float32)
    coat = {f"coat.{letter}": np.full((8, 8), 0.25, np.float32) for letter in "RGB"}
    base = {letter: np.full((8, 8), 0.1, np.float32) for letter in "RGB"}
    picture = write_planes(tmp_path / "in.exr", {**base, "A": alpha, **coat})
    target, _ = bake(picture, "o.exr", SRGB, AP1, {(0, "coat"): SRGB})
    wanted = converted(np.full(3, 0.5), SRGB, AP1) * 0.5
    found = planes_of(target)
    assert abs(found["coat.R"][0, 0] - wanted[0]) <= 1e-6
    assert np.array_equal(found["A"], alpha)
