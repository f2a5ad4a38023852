"""``primecoat compare`` as a person or a script runs it."""

from __future__ import annotations

import numpy as np
import pytest
from tests.renders.balls import balls, written

AP1 = "lin_ap1_scene"


@pytest.fixture
def pair(tmp_path):
    light = balls(64, 40)
    written(tmp_path / "old.exr", light)
    written(tmp_path / "new.exr", light * np.float32(2**0.1))
    return [str(tmp_path / name) for name in ("old.exr", "new.exr")]


def test_document(terminal, pair):
    found = terminal("compare", *pair, "--in-a", AP1, "--in-b", "ACEScg", "--json")
    assert found.code == 0
    document = found.document
    assert document["document"] == "primecoat.compare/1"
    assert document["exposure_stops"] == pytest.approx(0.1, abs=0.002)
    assert {"mean", "p95", "max"} <= set(document["ciede2000"])
    assert document["ciede2000"]["mean"] > 0.5
    assert [document[side]["space"] for side in "ab"] == [AP1, AP1]
    assert document["a"]["view"] == document["b"]["view"]
    assert document["scene"]["channels"]["G"]["stops"] == pytest.approx(0.1, abs=0.002)
    assert document["config"]


def test_input_whose_space_nobody_says_is_wrong_use(terminal, pair):
    found = terminal("compare", *pair, "--in-a", AP1)
    assert (found.code, found.out) == (2, "")
    assert "--in-b" in found.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--view-a", "Un-tone-mapped"], "Name both"),
        (["--display", "Kiln"], "no display Kiln"),
        (["--layer-b", "rim"], "no layer 'rim'"),
        (["--noise", "none.exr"], "none.exr"),
    ],
)
def test_wrong_use(terminal, pair, options, words):
    found = terminal("compare", *pair, "--in-a", AP1, "--in-b", AP1, *options)
    assert found.code == 2
    assert words in found.err


def test_pictures_and_table(terminal, pair, tmp_path):
    out = tmp_path / "drawn"
    options = ["--in-a", AP1, "--in-b", AP1, "--pictures", str(out), "--align"]
    found = terminal("compare", *pair, *options)
    assert found.code == 0
    assert "+0.100 stops (B is brighter)" in found.out
    assert sorted(path.name for path in out.iterdir())[0] == "chromaticity.png"
    assert found.out.count("Written:") == 5
