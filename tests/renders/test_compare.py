"""Comparing two renders: nothing, exposure, views, noise, sequences, and what is refused."""

from __future__ import annotations

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.renders.balls import balls, noisy, written

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.errors import UseError
from primecoat.images.oiio import read_pixels
from primecoat.renders.compare import compare_renders
from primecoat.renders.frame import Seen, open_frame, read_bands, seen_rows
from primecoat.renders.inputs import Input
from primecoat.workflow import compare

AP1 = "lin_ap1_scene"
REC709 = "lin_rec709_scene"


@pytest.fixture
def old(tmp_path):
    return written(tmp_path / "old.exr", balls(), AP1)


def nothing(spread):
    return spread.mean == spread.p50 == spread.p95 == spread.p99 == spread.max == 0.0


@pytest.mark.parametrize("ending", [".exr", ".png", ".tif", ".jpg"])
def test_identical_pair_differs_by_exactly_nothing(tmp_path, ending):
    light = balls()
    pixels = light if ending == ".exr" else (np.clip(light, 0, 1) * 255).astype(np.uint8)
    space = AP1 if ending == ".exr" else "srgb_rec709_display"
    one, two = (written(tmp_path / f"{name}{ending}", pixels) for name in ("one", "two"))
    found = compare(one, two, in_a=space, in_b=space)
    assert found.exposure_stops == 0.0
    assert nothing(found.figures.ciede2000)
    assert all(nothing(channel.absolute) for channel in found.figures.codes)
    assert all(nothing(channel.absolute) for channel in found.figures.scene)
    assert found.figures.pixels == 256 * 160


@pytest.mark.parametrize("noise", [0.0, 0.01])
@pytest.mark.parametrize("stops", [0.1, -0.1, 2.0])
def test_exposure_is_found(tmp_path, noise, stops):
    """0.100 stop to 0.002, also with noise of 1 % of the light in both."""
    light = balls()
    one = written(tmp_path / "one.exr", noisy(light, 1, noise), AP1)
    two = written(tmp_path / "two.exr", noisy(light, 2, noise) * np.float32(2**stops), AP1)
    assert compare(one, two).exposure_stops == pytest.approx(stops, abs=0.002)


def test_exposure_is_found_in_noise_that_does_not_follow_the_light(tmp_path):
    light = balls()
    seeds = np.random.default_rng(4).normal(0, 0.01, (2, *light.shape)).astype(np.float32)
    one = written(tmp_path / "one.exr", light + seeds[0], AP1)
    two = written(tmp_path / "two.exr", light * np.float32(2**0.1) + seeds[1], AP1)
    assert compare(one, two).exposure_stops == pytest.approx(0.1, abs=0.002)


def test_exposure_is_told_in_the_scene_whatever_the_primaries(tmp_path, old):
    """The same light in Rec.709, by the matrix of the Color Interop Forum's Recommendation."""
    matrix = np.array(
        [
            [1.7050510, -0.6217921, -0.0832588],
            [-0.1302564, 1.1408048, -0.0105483],
            [-0.0240033, -0.1289690, 1.1529723],
        ]
    )
    same = written(tmp_path / "same.exr", (balls() @ matrix.T).astype(np.float32), REC709)
    found = compare(old, same)
    assert abs(found.exposure_stops) < 1e-4
    assert found.figures.ciede2000.max < 0.01
    assert compare(old, same, in_b=AP1).figures.ciede2000.mean > 1


@pytest.mark.parametrize(
    ("display", "view"),
    [
        (DEFAULT_DISPLAY, DEFAULT_VIEW),
        (DEFAULT_DISPLAY, "Un-tone-mapped"),
        ("Rec.2100-PQ - Display", "ACES 2.0 - HDR 1000 nits (P3 D65)"),
    ],
)
def test_what_is_seen_is_what_the_library_shows_bit_for_bit(old, display, view):
    """OpenColorIO's own processor on the CPU, the whole picture in one call."""
    frame = open_frame(old, space=None)
    seen = Seen(display=display, view=view)
    rows = [seen_rows(rows, frame.space, seen) for _, rows in read_bands(frame)]
    transform = ocio.DisplayViewTransform(src="ACEScg", display=display, view=view)
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    processor = config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    pixels = np.ascontiguousarray(read_pixels(old), np.float32)
    processor.applyRGB(pixels)
    np.testing.assert_array_equal(np.concatenate(rows), pixels)


def test_figures_are_those_of_whole_arrays(tmp_path, old):
    """Mean, percentiles and greatest against numpy over the float64 formula, all pixels at once."""
    new = written(
        tmp_path / "new.exr", noisy(balls(), 3, 0.05) * np.array([1.1, 1, 0.9], np.float32), AP1
    )
    found = compare(old, new).figures
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    seen = ocio.DisplayViewTransform(src="ACEScg", display=DEFAULT_DISPLAY, view=DEFAULT_VIEW)
    light = []
    for path in (old, new):
        pixels = np.ascontiguousarray(read_pixels(path), np.float32)
        for asked in ((seen,), (DEFAULT_DISPLAY, "CIE XYZ-D65 - Display-referred")):
            processor = config.getProcessor(*asked)
            processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(pixels)
        light.append(lab(pixels))
    wanted = ciede2000(*light)
    assert found.ciede2000.mean == pytest.approx(wanted.mean(), abs=1e-3)
    assert found.ciede2000.max == pytest.approx(wanted.max(), abs=1e-3)
    for percent, value in ((50, found.ciede2000.p50), (95, found.ciede2000.p95)):
        assert value == pytest.approx(np.percentile(wanted, percent), rel=2e-3)
    a, b = (read_pixels(path).reshape(-1, 3).astype(np.float64) for path in (old, new))
    for at, channel in enumerate(found.scene):
        assert channel.mean_difference == pytest.approx((b - a)[:, at].mean(), rel=1e-5)
        assert channel.rms == pytest.approx(np.sqrt(((b - a)[:, at] ** 2).mean()), rel=1e-5)
    assert [c.stops for c in found.scene] == pytest.approx(np.log2([1.1, 1, 0.9]), abs=0.005)


def test_aligned_exposure_leaves_the_rest(tmp_path, old):
    new = written(tmp_path / "new.exr", balls() * np.float32(2**1.5), AP1)
    assert compare(old, new).figures.ciede2000.mean > 5
    found = compare(old, new, align=True)
    assert found.exposure_stops == pytest.approx(1.5, abs=1e-5)
    assert found.figures.ciede2000.max < 0.01
    with pytest.raises(UseError, match="aligned between scene-referred"):
        compare(old, new, in_a="srgb_rec709_display", in_b="srgb_rec709_display", align=True)


def test_noise_floor_of_two_seeds(tmp_path):
    light = balls()
    one, again, other = (
        written(tmp_path / f"seed{seed}.exr", noisy(light, seed), AP1) for seed in (1, 2, 3)
    )
    brighter = written(tmp_path / "brighter.exr", noisy(light, 3) * np.float32(1.3), AP1)
    same, changed = (compare(one, new, noise=again) for new in (other, brighter))
    assert same.noise is not None
    assert changed.noise is not None
    floor = same.noise.figures.ciede2000.mean
    assert floor == pytest.approx(same.figures.ciede2000.mean, rel=0.02)
    assert same.noise.share_above == pytest.approx(0.01, abs=0.003)
    assert changed.noise.share_above > 0.5


def test_high_dynamic_range_display_is_told_by_itp(tmp_path, old):
    new = written(tmp_path / "new.exr", balls() * np.float32(1.1), AP1)
    display, view = "Rec.2100-PQ - Display", "ACES 2.0 - HDR 1000 nits (P3 D65)"
    found = compare(old, new, display=display, view_a=view, view_b=view).figures
    assert found.delta_e_itp is not None
    assert 1 < found.delta_e_itp.mean < 30
    assert compare(old, new).figures.delta_e_itp is None
    same = compare(old, old, display=display, view_a=view, view_b=view)
    assert nothing(same.figures.delta_e_itp)


def test_views_are_not_mixed_in_silence(old):
    with pytest.raises(UseError, match="Name both"):
        compare(old, old, view_b="Un-tone-mapped")
    found = compare(old, old, view_a=DEFAULT_VIEW, view_b="Un-tone-mapped")
    assert found.same_view is False
    assert found.exposure_stops == 0.0
    assert found.figures.ciede2000.mean > 1


def test_a_render_against_what_was_seen_of_it(tmp_path, old):
    """A display-referred picture takes no view; it is the other as seen, but for 8 bits."""
    frame = open_frame(old, space=None)
    seen = np.concatenate([seen_rows(rows, frame.space, Seen()) for _, rows in read_bands(frame)])
    shown = written(tmp_path / "shown.png", (seen.clip(0, 1) * 255 + 0.5).astype(np.uint8))
    found = compare(old, shown, in_b="srgb_rec709_display")
    assert found.figures.ciede2000.p95 < 0.6
    assert found.figures.scene == ()
    with pytest.raises(UseError, match="Leave --view-b out"):
        compare(old, shown, in_b="srgb_rec709_display", view_b=DEFAULT_VIEW)


def test_shares_of_clipped_and_outside(tmp_path):
    light = np.full((10, 10, 3), 0.5, np.float32)
    light[0] = 4.0  # 10 of 100 pixels beyond display white
    light[1, :5] = (-0.1, 0.5, 0.1)  # 5 outside Rec.709 but inside AP1
    light[2, 0] = np.nan
    one = written(tmp_path / "one.exr", light, REC709)
    plain = np.nan_to_num(light, nan=0.5)
    two = written(tmp_path / "two.exr", plain, REC709)
    found = compare(one, two, view_a="Un-tone-mapped", view_b="Un-tone-mapped").figures
    assert found.pixels == 99
    assert found.not_finite_differs == 1
    assert (found.a.not_finite, found.b.not_finite) == (0.01, 0.0)
    assert found.a.at_white == pytest.approx(10 / 99)
    assert found.a.negative == found.a.outside["rec709"] == pytest.approx(5 / 99)
    assert found.a.outside["ap1"] == 0
    assert nothing(found.ciede2000)


def test_sequence_frame_by_frame(tmp_path):
    light = balls(64, 40)
    for number in (1001, 1002, 1003):
        written(tmp_path / f"old.{number}.exr", light, AP1)
        written(tmp_path / f"new.{number}.exr", light * np.float32(1 + (number == 1002)), AP1)
    found = compare(tmp_path / "old.####.exr", tmp_path / "new.%04d.exr")
    assert [(n, round(f.exposure.median, 5)) for n, f in found.frames] == [
        (1001, 0.0),
        (1002, 1.0),
        (1003, 0.0),
    ]
    assert found.figures.pixels == 3 * 64 * 40
    assert found.figures.ciede2000.mean == pytest.approx(found.frames[1][1].ciede2000.mean / 3)
    (tmp_path / "new.1003.exr").unlink()
    with pytest.raises(UseError, match="only one of them has 1003"):
        compare(tmp_path / "old.####.exr", tmp_path / "new.####.exr")


def test_memory_of_many_rows_is_that_of_a_band(tmp_path):
    """All bands, odd in size, and rows that do not divide: every pixel is counted once."""
    light = np.random.default_rng(1).random((1111, 701, 3), np.float32)
    one = written(tmp_path / "one.exr", light, AP1, compression="piz")
    two = written(tmp_path / "two.tif", light)
    found = compare_renders(Input(name=str(one)), Input(name=str(two), space=AP1))
    assert found.figures.pixels == 1111 * 701
    assert nothing(found.figures.ciede2000)
