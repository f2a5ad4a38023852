"""The demo's renders are those of one scene in two working spaces, the same bytes each time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import primecoat
from primecoat.colour.ocio import convert
from primecoat.demo.courtyard import build_courtyard
from primecoat.demo.renders import AFTER, BEFORE, CORRECTIONS, NOISE, SECOND_SEED, write_renders
from primecoat.demo.tea_table import tea_table
from primecoat.errors import UseError
from primecoat.images.oiio import read_pixels
from primecoat.renders.frame import open_frame


@pytest.fixture(scope="module")
def renders(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("renders") / "tea"
    write_renders(folder)
    return folder


def test_a_second_run_makes_the_same_bytes_and_leaves_them_there(renders: Path):
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in renders.iterdir()}
    write_renders(renders)
    assert before == {p: (p.read_bytes(), p.stat().st_mtime_ns) for p in renders.iterdir()}


def test_only_the_new_one_says_what_it_is(renders: Path):
    assert open_frame(renders / AFTER, space=None).space == "lin_ap1_scene"
    with pytest.raises(UseError, match="Nobody says"):
        open_frame(renders / BEFORE, space=None)


def test_noise_is_what_it_is_said_to_be(renders: Path):
    one, other = (read_pixels(renders / name).astype(np.float64) for name in (BEFORE, SECOND_SEED))
    share = (one - other) / (one + other) * 2
    assert np.std(share) == pytest.approx(NOISE * np.sqrt(2), rel=0.01)


def test_products_differ_and_single_lights_do_not():
    court = build_courtyard(64)
    old, new = (
        tea_table(court, (36, 64), space).astype(np.float64)
        for space in ("lin_rec709_scene", "lin_ap1_scene")
    )
    moved = convert(old.astype(np.float32), "lin_rec709_scene", "lin_ap1_scene")
    off = np.abs(new - moved).max(axis=-1) / new.max(axis=-1)
    assert off[:4].max() < 1e-5  # the wall behind: one light, seen straight
    assert np.percentile(off, 95) > 0.02  # glazes: products of colours


def test_tone_curve_must_go_and_the_gains_may_stay(renders: Path):
    judged = primecoat.corrections(renders / CORRECTIONS)
    assert [one.verdict for one in judged.each] == ["may stay", "may stay", "must go"]


def test_a_folder_with_other_things_is_refused(tmp_path: Path):
    (tmp_path / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(UseError, match="not empty"):
        write_renders(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_file_is_refused_as_a_folder(tmp_path: Path):
    (tmp_path / "tea").write_text("mine", encoding="utf-8")
    with pytest.raises(UseError, match="is a file"):
        write_renders(tmp_path / "tea")


def test_a_changed_render_is_not_written_over(renders: Path, tmp_path: Path):
    (tmp_path / BEFORE).write_bytes(b"painted over")
    with pytest.raises(UseError, match="not as the demo writes it"):
        write_renders(tmp_path)
    assert (tmp_path / BEFORE).read_bytes() == b"painted over"
