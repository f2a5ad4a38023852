"""Matching: known looks come back, what cannot be matched is said, and nothing is assumed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.renders.balls import balls, noisy, written

from primecoat.colour.ocio import DEFAULT_CONFIG, DEFAULT_VIEW, convert, through_view
from primecoat.errors import UseError
from primecoat.renders.inputs import Input
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.look import match_renders
from primecoat.renders.match.model import Match

AP1 = "lin_ap1_scene"
KNOWN = Adjustment(stops=0.7, contrast=1.15, saturation=0.85)


def looked(light: np.ndarray, adjustment: Adjustment) -> np.ndarray:
    """Return linear AP1 light after an adjustment, by the library's CDL."""
    numbers = adjusted(convert(light, AP1, SPACE), adjustment, DEFAULT_CONFIG)
    return np.asarray(convert(numbers.astype(np.float32), SPACE, AP1))


def matched(old: Path, new: Path, *, view: str | None = DEFAULT_VIEW, **options) -> Match:
    return match_renders(
        Input(name=str(old), space=AP1, view=view),
        Input(name=str(new), space=AP1, view=DEFAULT_VIEW),
        **options,
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("match")
    light = balls()
    written(made / "new.exr", noisy(light, 1))
    written(made / "old.exr", noisy(looked(light, KNOWN), 2))
    written(made / "moved.exr", noisy(looked(np.roll(light, (1, 1), (0, 1)), KNOWN), 3))
    return made


def test_identical_is_exactly_nothing(folder: Path):
    found = matched(folder / "new.exr", folder / "new.exr")
    assert [one.adjustment for one in found.steps] == [Adjustment()] * 4
    assert {one.residual.mean for one in found.steps} == {0.0}
    assert {one.residual.pixels_p95 for one in found.steps} == {0.0}
    assert found.recommended == "nothing"


@pytest.mark.parametrize("old", ["old.exr", "moved.exr"])
def test_a_known_look_comes_back_within_one_percent(folder: Path, old: str):
    """With noise of 1 % in both, and with the old one a pixel off in both directions."""
    found = matched(folder / old, folder / "new.exr")
    assert found.chosen == "saturation"
    result = found.result.adjustment
    assert 2**result.stops == pytest.approx(2**KNOWN.stops, rel=0.01)
    assert result.contrast == pytest.approx(KNOWN.contrast, rel=0.01)
    assert result.saturation == pytest.approx(KNOWN.saturation, rel=0.01)
    if old == "old.exr":
        assert found.result.residual.mean < 0.5
        assert found.result.residual.p95 < 1.0
    left = [one.residual.mean for one in found.steps]
    assert left == sorted(left, reverse=True)


def test_channels_are_fitted_on_request(tmp_path: Path):
    light = balls(128, 80)
    known = Adjustment(
        stops=-0.4, slope=(1.06, 1.0, 1 / 1.06), offset=(0.02, 0.0, -0.02), power=(1.1, 1, 1 / 1.1)
    )
    old = written(tmp_path / "old.exr", looked(light, known))
    new = written(tmp_path / "new.exr", light)
    assert matched(old, new).steps[-1].step == "saturation"
    found = matched(old, new, channels=True)
    assert found.chosen == "channels"
    assert found.result.residual.pixels_p95 < 0.02


def test_a_power_that_all_channels_share_is_found(tmp_path: Path):
    """All ten numbers of a CDL are free: a power is neither a slope nor an offset."""
    light = balls(128, 80)
    known = Adjustment(stops=0.3, power=(1.3, 1.3, 1.3))
    old = written(tmp_path / "old.exr", looked(light, known))
    found = matched(old, written(tmp_path / "new.exr", light), up_to="channels")
    assert found.result.adjustment.cdl.power == pytest.approx((1.3,) * 3, rel=0.01)
    assert found.result.adjustment.at_grey == pytest.approx(known.at_grey, rel=0.01)


def test_mid_grey_of_channel_numbers():
    """By differences of the CDL itself, on grey a little darker and brighter."""
    known = Adjustment(stops=-0.4, contrast=1.2, offset=(0.02, 0, -0.02), power=(1.1, 1.0, 0.9))
    codes = np.array([[0.4135884 + step] * 3 for step in (-1e-3, 0.0, 1e-3)], np.float32)
    low, middle, high = adjusted(codes, known, DEFAULT_CONFIG).astype(float)
    steep = (high - low) / 2e-3
    shift = (middle - 0.4135884) / steep * 17.52
    assert known.at_grey == pytest.approx((shift.mean(), steep.mean()), rel=2e-3)


def test_the_step_that_is_said_is_taken(folder: Path):
    found = matched(folder / "old.exr", folder / "new.exr", up_to="exposure")
    assert (found.chosen, found.recommended) == ("exposure", "saturation")
    assert found.result.adjustment.contrast == 1.0


def test_a_tone_curve_is_no_exposure(tmp_path: Path):
    """The plain encoding of the display clips; no numbers before a view that does not give it."""
    light = balls()
    old = written(tmp_path / "old.exr", light * np.float32(2.0))
    found = matched(old, written(tmp_path / "new.exr", light), view="Un-tone-mapped")
    assert found.result.residual.mean > 1.0


def test_an_old_picture_ready_for_a_display(folder: Path, tmp_path: Path):
    """A PNG of the old view is the same target as the render and its view, but for its codes."""
    light = noisy(looked(balls(), KNOWN), 2)
    codes = np.clip(through_view(light, AP1, "sRGB - Display", DEFAULT_VIEW), 0, 1)
    png = written(tmp_path / "old.png", np.rint(codes * 255).astype(np.uint8))
    found = match_renders(
        Input(name=str(png), space="srgb_rec709_display"),
        Input(name=str(folder / "new.exr"), space=AP1),
    )
    assert found.sight.old_needs_no_view
    assert found.result.adjustment.stops == pytest.approx(KNOWN.stops, abs=0.015)
    assert found.result.adjustment.contrast == pytest.approx(KNOWN.contrast, rel=0.01)
    assert found.result.adjustment.saturation == pytest.approx(KNOWN.saturation, rel=0.01)


def test_a_sequence_has_one_look(folder: Path, tmp_path: Path):
    light = balls(128, 80)
    for frame in (1, 2, 3):
        moved = np.roll(light, frame * 9, 1)
        written(tmp_path / f"new.{frame:04}.exr", noisy(moved, frame))
        written(tmp_path / f"old.{frame:04}.exr", noisy(looked(moved, KNOWN), 10 + frame))
    found = matched(tmp_path / "old.####.exr", tmp_path / "new.####.exr")
    assert [number for number, _ in found.frames] == [1, 2, 3]
    assert found.result.adjustment.contrast == pytest.approx(KNOWN.contrast, rel=0.01)
    assert max(residual.mean for _, residual in found.frames) < 0.6


def test_numbers_that_are_none_are_left_out(folder: Path, tmp_path: Path):
    light = noisy(balls(), 1)
    light[:40, :60] = np.nan
    light[80, 90, 1] = np.inf
    found = matched(folder / "old.exr", written(tmp_path / "new.exr", light))
    assert found.result.adjustment.saturation == pytest.approx(KNOWN.saturation, rel=0.01)


@pytest.mark.parametrize("level", [0.0, -1.0, np.nan])
def test_nothing_to_look_at(tmp_path: Path, level: float):
    dark = written(tmp_path / "dark.exr", np.full((20, 30, 3), level, np.float32))
    with pytest.raises(UseError, match="nothing to match"):
        matched(dark, dark)


@pytest.mark.parametrize("shape", [(1, 1, 3), (2, 3, 3), (30, 40, 3)])
def test_one_colour_all_over(tmp_path: Path, shape: tuple[int, int, int]):
    """Exposure is found; contrast and saturation cannot be told, and stay small."""
    new = written(tmp_path / "new.exr", np.full(shape, 0.2, np.float32))
    old = written(tmp_path / "old.exr", np.full(shape, 0.4, np.float32))
    found = matched(old, new)
    assert found.chosen == "exposure"
    assert found.result.adjustment.stops == pytest.approx(1.0, abs=1e-3)


def test_nothing_is_assumed(folder: Path, tmp_path: Path):
    old, new = folder / "old.exr", folder / "new.exr"
    with pytest.raises(UseError, match="which view"):
        matched(old, new, view=None)
    with pytest.raises(UseError, match="Nobody says which space"):
        match_renders(Input(name=str(old), view=DEFAULT_VIEW), Input(name=str(new), space=AP1))
    shown = Input(name=str(new), space="srgb_rec709_display")
    with pytest.raises(UseError, match="been through its view"):
        match_renders(Input(name=str(old), space=AP1, view=DEFAULT_VIEW), shown)
