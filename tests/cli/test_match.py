"""``primecoat match`` as a person or a script runs it."""

from __future__ import annotations

import numpy as np
import pytest
from tests.renders.balls import balls, written

AP1 = "lin_ap1_scene"
VIEW = "ACES 2.0 - SDR 100 nits (Rec.709)"


@pytest.fixture
def pair(tmp_path):
    light = balls(64, 40)
    written(tmp_path / "old.exr", light * np.float32(2**0.5))
    written(tmp_path / "new.exr", light)
    names = [str(tmp_path / name) for name in ("old.exr", "new.exr")]
    return [*names, "--in-a", AP1, "--in-b", AP1, "--view-a", VIEW]


def test_document(terminal, pair, tmp_path):
    out = tmp_path / "look"
    found = terminal("match", *pair, "--out", str(out), "--json")
    assert found.code == 0
    document = found.document
    assert document["document"] == "primecoat.match/1"
    assert document["exposure_stops"] == pytest.approx(0.5, abs=1e-4)
    assert document["exposure_gain"] == pytest.approx(2**0.5, rel=1e-4)
    assert (document["contrast"], document["saturation"]) == (1.0, 1.0)
    assert document["residual"]["mean"] < 0.01
    assert {"mean", "p95"} <= set(document["residual"])
    assert document["steps"][0]["residual"]["mean"] > 3
    assert document["step"] == document["recommended"] == "exposure"
    assert document["untold"] == []
    assert [name.rsplit(".", 1)[1] for name in document["files"]] == [
        *("cc", "ccc", "cdl", "clf", "ocio", "png")
    ]
    assert len(document["read_back"]) == 5
    assert all(one["pixels_p95"] < 0.01 for one in document["read_back"])


def test_identical_pair_is_exactly_nothing(terminal, pair, tmp_path):
    found = terminal("match", pair[0], pair[0], *pair[2:], "--out", str(tmp_path / "l"), "--json")
    document = found.document
    numbers = [document[name] for name in ("exposure_stops", "contrast", "saturation")]
    assert numbers == [0.0, 1.0, 1.0]
    assert set(document["residual"].values()) == {0.0}
    assert {one["pixels_mean"] for one in document["read_back"]} == {0.0}


def test_table(terminal, pair):
    found = terminal("match", *pair)
    assert found.code == 0
    assert "exposure    +0.5000 stops (light times 1.41421)" in found.out
    assert "offset      0.0285388 0.0285388 0.0285388" in found.out  # half of 1/17.52
    assert "-0.000" not in found.out
    grey = terminal("match", pair[0], pair[1], *pair[2:], "--channels", "--up-to", "channels")
    assert "as a CDL (no three numbers alone say it)" in grey.out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--up-to", "kiln"], "no step 'kiln'"),
        (["--view-b", "Kiln"], "no view Kiln"),
        (["--old-corrections", "none.toml"], "Cannot read none.toml"),
        (["--old-corrections-clamp"], "not given"),
    ],
)
def test_wrong_use_is_one_line(terminal, pair, options, words):
    found = terminal("match", *pair, *options)
    assert (found.code, found.out) == (2, "")
    assert words in found.err
    assert found.err.count("\n") == 1


def test_a_taken_folder_is_refused_before_the_pictures_are_read(terminal, pair, tmp_path):
    (tmp_path / "matched_look.clf").write_text("mine")
    found = terminal("match", "none.exr", "none.exr", *pair[2:], "--out", str(tmp_path))
    assert found.code == 2
    assert "no file is written over" in found.err


def test_a_config_file_gets_the_numbers_but_no_config(terminal, pair, tmp_path):
    terminal("config", "write", "--out", str(tmp_path / "own.ocio"))
    out = tmp_path / "look"
    found = terminal("match", *pair, "--config", str(tmp_path / "own.ocio"), "--out", str(out))
    assert found.code == 0
    assert "No config was written" in found.out
    assert not (out / "matched_look.ocio").exists()
