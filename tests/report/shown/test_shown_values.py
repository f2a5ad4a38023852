"""Codes under a reading against OpenColorIO's own processor and published numbers."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio
import pytest
from numpy.typing import NDArray
from PIL import Image

from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.errors import UseError
from primecoat.images.oiio import write_pixels
from primecoat.report.shown.seen import Viewing, display_codes
from primecoat.workflow.shown import shown

ACES_1 = "studio-config-v2.1.0_aces-v1.3_ocio-v2.3"
M11 = {
    (DEFAULT_CONFIG, "Un-tone-mapped"): {-2: 59.9, 0: 117.6, 2: 220.6, 4: 404},
    (ACES_1, "ACES 1.0 - SDR Video"): {-2: 28.6, 0: 90.8, 2: 190.0, 4: 238},
    (DEFAULT_CONFIG, DEFAULT_VIEW): {-2: 30.6, 0: 89.0, 2: 163.7, 4: 221},
}
"""sRGB code, of 255, of 0.18 x 2^stops; measured by others with OpenColorIO and its own configs."""


def opened(png: bytes) -> NDArray[np.uint8]:
    """Return the pixels of a PNG as another library reads them."""
    return np.asarray(Image.open(io.BytesIO(png)))


@pytest.mark.parametrize(("config", "view"), M11)
@pytest.mark.parametrize("stops", [-2, 0, 2, 4])
def test_grey_has_the_measured_codes(config: str, view: str, stops: int) -> None:
    viewing = Viewing(view=view, stops=stops, config=config)
    grey = np.full((1, 3), 0.18, np.float32)
    code = 255 * float(display_codes(grey, "lin_ap1_scene", viewing)[0, 1])
    expected = M11[config, view][stops]
    assert code == pytest.approx(expected, abs=0.6 if expected > 200 else 0.06)


@pytest.mark.parametrize("reading", ["srgb_rec709_scene", "lin_ap0_scene", "srgb_p3d65_display"])
@pytest.mark.parametrize("stops", [0.0, -1.37])
@pytest.mark.parametrize("threads", [1, 2])
def test_codes_are_bit_for_bit_those_of_the_library(
    reading: str, stops: float, threads: int
) -> None:
    values = np.random.default_rng(1).normal(0.4, 0.5, (33, 1001, 3)).astype(np.float32)
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    space = config.getColorSpace(reading).getName()
    gain = np.eye(4) * np.append(np.full(3, np.float32(2.0**stops)), 1)
    chain = ocio.GroupTransform(
        [
            ocio.ColorSpaceTransform(src=space, dst="ACEScg"),
            ocio.MatrixTransform(matrix=gain.ravel().tolist()),
            ocio.DisplayViewTransform(src="ACEScg", display=DEFAULT_DISPLAY, view=DEFAULT_VIEW),
        ]
    )
    expected = values.copy()
    config.getProcessor(chain).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).apply(
        ocio.PackedImageDesc(expected, 1001, 33, 3)
    )
    found = display_codes(values, reading, Viewing(stops=stops), threads=threads)
    assert np.array_equal(found, expected, equal_nan=True)


def test_a_picture_is_the_rounded_codes(tmp_path: Path) -> None:
    codes = np.random.default_rng(2).integers(0, 256, (40, 50, 3), np.uint8)
    Image.fromarray(codes).save(tmp_path / "glaze.png")
    made = shown(tmp_path / "glaze.png", "srgb_rec709_scene")
    numbers = codes.astype(np.float32) / np.float32(255)
    expected = np.rint(255 * np.clip(display_codes(numbers, "srgb_rec709_scene", Viewing()), 0, 1))
    assert np.array_equal(opened(made.png), expected)
    assert made.exact
    assert made.block == 1
    # through no tone map it is the picture that was stored (IEC 61966-2-1 out and back)
    same = shown(tmp_path / "glaze.png", "srgb_rec709_scene", view="Un-tone-mapped")
    assert np.abs(opened(same.png).astype(int) - codes).max() <= 1


def test_a_box_is_that_part_of_the_picture(tmp_path: Path) -> None:
    codes = np.random.default_rng(3).integers(0, 256, (90, 70, 3), np.uint8)
    for name in ("glaze.png", "glaze.tif"):
        Image.fromarray(codes).save(tmp_path / name)
        made = shown(tmp_path / name, "data", box=(11, 37, 20, 30))
        assert np.array_equal(opened(made.png), codes[37:67, 11:31])
    with pytest.raises(UseError, match="no pixel in the box"):
        shown(tmp_path / "glaze.png", "data", box=(70, 0, 5, 5))


def test_several_pixels_become_one_by_their_light(tmp_path: Path) -> None:
    checks = np.indices((64, 64)).sum(axis=0) % 2
    Image.fromarray(np.repeat(checks[..., None] * 255, 3, axis=2).astype(np.uint8)).save(
        tmp_path / "tiles.png"
    )
    light = shown(tmp_path / "tiles.png", "srgb_rec709_scene", view="Un-tone-mapped", size=(32, 32))
    # half the light of white is sRGB code 188 (IEC 61966-2-1); half the number is 127 or 128
    half = 255 * (1.055 * 0.5 ** (1 / 2.4) - 0.055)
    assert np.abs(opened(light.png) - half).max() < 1
    assert opened(light.png).shape == (32, 32, 3)
    plain = shown(tmp_path / "tiles.png", "data", size=(32, 32))
    assert set(np.unique(opened(plain.png))) <= {127, 128}
    assert "as light (lin_rec709_scene)" in light.words[0]
    assert "as numbers" in plain.words[0]


def test_light_beyond_one_is_averaged_as_it_is(tmp_path: Path) -> None:
    light = np.zeros((4, 4, 3), np.float32)
    light[0, 0] = 16 * 0.18
    write_pixels(tmp_path / "lamp.exr", light)
    made = shown(tmp_path / "lamp.exr", "lin_ap1_scene", view="Un-tone-mapped", size=(1, 1))
    assert abs(int(opened(made.png)[0, 0, 0]) - 117.6) < 1


def test_what_is_no_number_is_marked_counted_and_in_no_mean(tmp_path: Path) -> None:
    light = np.full((8, 8, 3), 0.18, np.float32)
    light[1, 2, 0], light[5, 5, 1] = np.nan, np.inf
    write_pixels(tmp_path / "broken.exr", light)
    made = shown(tmp_path / "broken.exr", "lin_ap1_scene", view="Un-tone-mapped")
    pixels = opened(made.png)
    assert made.not_finite == 2
    assert pixels[1, 2].tolist() == pixels[5, 5].tolist() == [255, 0, 255]
    assert np.count_nonzero((pixels == [118, 118, 118]).all(axis=2)) == 62
    small = opened(
        shown(tmp_path / "broken.exr", "lin_ap1_scene", view="Un-tone-mapped", size=(4, 4)).png
    )
    assert small[0, 1].tolist() == small[2, 2].tolist() == [255, 0, 255]
    assert small[3, 3].tolist() == [118, 118, 118]


def test_data_is_shown_without_a_view_and_says_so(tmp_path: Path) -> None:
    height = np.linspace(-2, 6, 64, dtype=np.float32).reshape(8, 8, 1)
    write_pixels(tmp_path / "height.exr", height)
    made = shown(tmp_path / "height.exr", "data")
    assert opened(made.png)[0, 0].tolist() == [0, 0, 0]
    assert opened(made.png)[-1, -1].tolist() == [255, 255, 255]
    assert made.scale is not None
    assert (made.scale.low, made.scale.high) == (-2, 6)
    assert any("numbers, no colours" in words for words in made.words)
    part = shown(tmp_path / "height.exr", "data", box=(0, 0, 8, 1))
    assert part.scale == made.scale


def test_channels_one_by_one(tmp_path: Path) -> None:
    pixel = np.array([[[10, 120, 250, 64]]], np.uint8)
    Image.fromarray(pixel, "RGBA").save(tmp_path / "leaf.png")
    for at, channel in enumerate("rgba"):
        made = shown(tmp_path / "leaf.png", "data", channels=channel)  # type: ignore[arg-type]
        assert opened(made.png)[0, 0].tolist() == [pixel[0, 0, at]] * 3
    green = np.array([[[0.0, 0.18, 0.0]]], np.float32)
    write_pixels(tmp_path / "green.exr", green)
    grey = shown(
        tmp_path / "green.exr",
        "lin_rec709_scene",
        working="lin_rec709_scene",
        view="Un-tone-mapped",
        channels="grey",
    )
    # Y of BT.709 green is 0.7152 (ITU-R BT.709-6, item 3.2)
    expected = 255 * (1.055 * (0.7152 * 0.18) ** (1 / 2.4) - 0.055)
    assert abs(int(opened(grey.png)[0, 0, 1]) - expected) < 1
    with pytest.raises(UseError, match="no alpha"):
        shown(tmp_path / "green.exr", "data", channels="a")


def test_a_normal_map_of_flat_codes_is_lit_flat(tmp_path: Path) -> None:
    flat = np.full((4, 4, 3), (128, 128, 255), np.uint8)
    Image.fromarray(flat).save(tmp_path / "flat.png")
    sound = opened(shown(tmp_path / "flat.png", "data", shape="lit", view="Un-tone-mapped").png)
    # Lambert: half of the light times the cosine of 45 degrees, as an sRGB code
    expected = 255 * (1.055 * (0.5 * 0.5**0.5) ** (1 / 2.4) - 0.055)
    assert np.abs(sound - expected).max() < 1.5
    wrong = shown(tmp_path / "flat.png", "srgb_rec709_scene", shape="lit", view="Un-tone-mapped")
    assert np.abs(opened(wrong.png).astype(int) - sound).min() > 10
    assert any("misread" in words for words in wrong.words)
    tilted = np.full((4, 4, 3), (128, 200, 230), np.uint8)
    Image.fromarray(tilted).save(tmp_path / "tilted.png")
    up, down = (
        opened(shown(tmp_path / "tilted.png", "data", shape="lit", green=green).png)
        for green in ("up", "down")
    )
    assert int(up[0, 0, 0]) > int(down[0, 0, 0]) + 20


def test_light_rolled_over_stops_marks_what_was_cut_off(tmp_path: Path) -> None:
    sky = np.random.default_rng(4).random((40, 80, 3), np.float32)
    write_pixels(tmp_path / "whole.exr", sky)
    sky[5:10, 20:25] = 60.0
    write_pixels(tmp_path / "cut.exr", sky)
    whole, cut = (
        shown(tmp_path / name, "lin_rec709_scene", shape="stops")
        for name in ("whole.exr", "cut.exr")
    )
    assert (cut.width, cut.height) == (5 * 80, 40)
    assert any("25 pixels stand at the greatest number, 60" in words for words in cut.words)
    assert any("No light was cut off" in words for words in whole.words)
    marked = (opened(cut.png) == [255, 115, 0]).all(axis=2)
    assert marked[5:10, 20:25].any()
    assert marked[5:10, 340:345].any()
    assert not marked[:, 100 - 20 : 100].any()
    assert not (opened(whole.png) == [255, 115, 0]).all(axis=2).any()
    means = [opened(whole.png)[:, 80 * at : 80 * at + 80].mean() for at in range(5)]
    assert means == sorted(means)


def test_quick_is_smaller_and_says_so(tmp_path: Path) -> None:
    Image.fromarray(np.zeros((900, 900, 3), np.uint8)).save(tmp_path / "wall.png")
    made = shown(tmp_path / "wall.png", "srgb_rec709_scene", quick=True)
    assert not made.exact
    assert made.width * made.height <= 160_000


def test_an_unknown_reading_or_view_is_refused(tmp_path: Path) -> None:
    Image.fromarray(np.zeros((2, 2, 3), np.uint8)).save(tmp_path / "cup.png")
    with pytest.raises(UseError, match="no reading"):
        shown(tmp_path / "cup.png", "moonlight")
    with pytest.raises(UseError, match="has no view"):
        shown(tmp_path / "cup.png", "srgb_rec709_scene", view="Moonlight")
    with pytest.raises(UseError, match="stops"):
        shown(tmp_path / "cup.png", "srgb_rec709_scene", stops=99)


def test_exposure_and_view_are_part_of_what_is_kept(tmp_path: Path) -> None:
    Image.fromarray(np.full((2, 2, 3), 90, np.uint8)).save(tmp_path / "cup.png")
    base = Viewing()
    codes = {
        opened(
            shown(
                tmp_path / "cup.png",
                "srgb_rec709_scene",
                stops=one.stops,
                view=one.view,
                working=one.working,
            ).png
        )[0, 0, 0]
        for one in (base, replace(base, stops=1.0), replace(base, view="Un-tone-mapped"))
    }
    assert len(codes) == 3
