"""Corrections of an old render are judged right, and their gains re-expressed right.

Trade rule (common practice, no source): exposure and white balance may stay; whatever changes the
dynamic range goes out before the view transform comes in.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.renders.correction_writers import (
    AP1,
    REC709,
    Old,
    entry,
)
from tests.renders.old_corrections import AFTER, BESIDES, GO, STAY

from primecoat import corrections
from primecoat.colour.ocio import DEFAULT_CONFIG, through_view
from primecoat.colour.white_balance import move_gains
from primecoat.renders.corrections import Judged, JudgedChain
from primecoat.renders.corrections.kinds import CONES, gain_of
from primecoat.renders.corrections.probe import WHITE
from primecoat.renders.corrections.restate import restate


def judged(old: Old, folder: Path, to_space: str = AP1) -> JudgedChain:
    path = folder / old.file
    old.write(path)
    return corrections(
        path, from_space=old.space, gives=old.gives, clamp=old.clamp, to_space=to_space
    )


def of_entry(words: str, folder: Path, space: str = REC709) -> Judged:
    return judged(Old(name="", file="a.toml", write=entry(words), space=space), folder).whole


def test_there_are_twenty_of_each_kind():
    assert (len(STAY), len(GO)) == (20, 20)


@pytest.mark.parametrize("old", STAY, ids=lambda old: old.name)
def test_may_stay(old, tmp_path):
    found = judged(old, tmp_path).whole
    assert found.verdict == "may stay", found.reasons
    assert found.restated is not None
    # Color Interop Forum's matrix has six decimals
    np.testing.assert_allclose(found.restated.matrix, old.ap1, atol=1e-5 * np.abs(old.ap1).max())


@pytest.mark.parametrize("old", GO, ids=lambda old: old.name)
def test_must_go(old, tmp_path):
    found = judged(old, tmp_path)
    assert found.whole.verdict == "must go", found.whole.reasons
    assert found.whole.reasons
    assert found.whole.restated is None


@pytest.mark.parametrize("old", AFTER, ids=lambda old: old.name)
def test_belongs_after_the_view(old, tmp_path):
    assert judged(old, tmp_path).whole.verdict == "belongs after the view"


@pytest.mark.parametrize(("verdict", "old"), BESIDES, ids=lambda one: getattr(one, "name", None))
def test_edges(verdict, old, tmp_path):
    found = judged(old, tmp_path).whole
    assert found.verdict == verdict, found.reasons


@pytest.mark.parametrize("to_space", ["lin_rec2020_scene", "lin_ap0_scene", REC709])
@pytest.mark.parametrize("old", [*STAY[:3], *GO[:3]], ids=lambda old: old.name)
def test_verdict_does_not_depend_on_the_new_space(old, to_space, tmp_path):
    wanted = "may stay" if old in STAY else "must go"
    assert judged(old, tmp_path, to_space).whole.verdict == wanted


def test_trade_rule_gains_stay_whatever_their_size(tmp_path):
    random = np.random.default_rng(7)
    for gains in np.exp2(random.uniform(-4, 4, (12, 3))).round(4).tolist():
        assert of_entry(f"white_balance = {gains}", tmp_path).verdict == "may stay", gains


def test_trade_rule_what_changes_the_dynamic_range_goes(tmp_path):
    """A power p makes p stops of one, for every p but 1."""
    for power in (0.4, 0.8, 0.95, 0.99, 1.01, 1.05, 1.3, 2.4):
        found = of_entry(f"power = {power}", tmp_path)
        assert (found.verdict, found.what) == ("must go", "tone curve"), power


@pytest.mark.parametrize("power", [0.98, 1.02])
def test_probe_measures_a_power_as_it_is(power, tmp_path):
    """The stops that a grey gains rise by p - 1 a stop: arithmetic."""
    found = of_entry(f"power = {power}", tmp_path).probe
    assert found is not None
    green = np.log2([row[1] for row in found.curve])
    np.testing.assert_allclose(np.diff(green) / 0.25, power, rtol=1e-9)


def test_probe_measures_a_clip_where_it_is(tmp_path):
    words = 'points = [[0, 0], [3.7, 7.4]]\nbeyond = "hold"'
    found = of_entry(words, tmp_path)
    assert found.probe is not None
    assert found.probe.clips_above == pytest.approx(3.7, rel=1e-4)
    assert (found.probe.invertible, found.probe.reaches) == (False, (0.0, 7.4))
    assert found.instead is not None
    assert found.instead.stops == pytest.approx(1.0, abs=1e-4)


def test_a_clip_of_nothing_offers_no_gain(tmp_path):
    found = of_entry('points = [[0, 0], [2, 2]]\nbeyond = "hold"', tmp_path)
    assert found.instead is None
    assert "Below that it does nothing." in found.reasons


def test_what_a_lift_does_is_told(tmp_path):
    found = of_entry("offset = 0.02", tmp_path)
    assert found.what == "lift"
    assert found.probe is not None
    assert found.probe.black == pytest.approx((0.02, 0.02, 0.02))


def test_dependence_on_primaries(tmp_path):
    """Unconverted gains: 3.7 % median, 16 % 95th percentile; measured once with NumPy alone."""
    found = of_entry("white_balance = [1.2, 1, 0.8]", tmp_path)
    assert found.probe is not None
    assert found.probe.mixing < 1e-9
    assert found.probe.same_numbers.median == pytest.approx(0.037, abs=0.001)
    assert found.probe.same_numbers.p95 == pytest.approx(0.16, abs=0.005)
    exposure = of_entry("exposure = 1", tmp_path)
    assert exposure.probe is not None
    assert exposure.probe.same_numbers.maximum < 1e-5


def test_gains_are_those_of_the_swatch(tmp_path):
    found = of_entry("white_balance = [1.2, 1, 0.8]", tmp_path)
    moved = move_gains((1.2, 1.0, 0.8), REC709, AP1)
    assert found.restated is not None
    np.testing.assert_allclose(found.restated.matrix, moved.matrix, atol=1e-9)
    np.testing.assert_allclose(found.restated.gains, moved.best.gains, rtol=1e-9)
    assert found.restated.residual.p95 == pytest.approx(moved.best.residual.p95)


def test_best_gains_of_any_matrix_are_found_as_those_of_gains():
    """The way for matrices, taken for plain gains, must come to the same."""
    matrix = np.diag([1.2, 1.0, 0.8])
    found = restate(None, matrix, REC709, AP1, DEFAULT_CONFIG)
    moved = move_gains((1.2, 1.0, 0.8), REC709, AP1)
    np.testing.assert_allclose(found.gains, moved.best.gains, rtol=1e-6)
    np.testing.assert_allclose(found.matrix, moved.matrix, atol=1e-9)
    assert found.residual.rms == pytest.approx(moved.best.residual.rms, rel=1e-6)


@pytest.mark.parametrize("name", sorted(CONES))
def test_cones_are_those_of_a_reference_library(name):
    colour = pytest.importorskip("colour")
    names = {"von Kries": "Von Kries", "XYZ": "XYZ Scaling"}
    known = colour.CHROMATIC_ADAPTATION_TRANSFORMS[names.get(name, name)]
    np.testing.assert_allclose(CONES[name], known, atol=1e-6)


@pytest.mark.parametrize("transform", ["Bradford", "CAT02", "CAT16", "Von Kries", "XYZ Scaling"])
def test_adaptations_of_a_reference_library_are_white_balances(transform):
    """From tungsten to daylight, as colour-science makes it, on linear Rec.709."""
    colour = pytest.importorskip("colour")
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    tungsten, daylight = (colour.xy_to_XYZ(whites[name]) for name in ("A", "D65"))
    on_xyz = colour.adaptation.matrix_chromatic_adaptation_VonKries(
        tungsten, daylight, transform=transform
    )
    into = colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ
    found = gain_of(np.linalg.inv(into) @ on_xyz @ into, REC709, DEFAULT_CONFIG)
    assert found.kind == "white adaptation"


def test_a_gain_must_hold_up_to_where_the_view_shows_white():
    """Seen through the config's own ACES 2.0 view: white at 128, not yet at 64."""
    white = through_view(np.full((1, 3), WHITE), AP1)
    np.testing.assert_allclose(white, 1.0, atol=1e-6)
    assert through_view(np.full((1, 3), 0.98 * WHITE), AP1).max() < 1 - 1e-6


@pytest.mark.parametrize(
    "config", ["cg-config-v1.0.0_aces-v1.3_ocio-v2.1", "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"]
)
def test_other_configs_judge_alike(config, tmp_path):
    for old in (STAY[9], STAY[10], GO[15], GO[16]):
        path = tmp_path / old.file
        old.write(path)
        found = corrections(path, from_space=old.space, clamp=old.clamp, config=config)
        assert found.whole.verdict == ("may stay" if old in STAY else "must go")


def test_random_mixes_are_no_white_balance():
    random = np.random.default_rng(3)
    for matrix in np.eye(3) + random.uniform(-0.2, 0.2, (30, 3, 3)):
        assert not gain_of(matrix, REC709, DEFAULT_CONFIG).stays
