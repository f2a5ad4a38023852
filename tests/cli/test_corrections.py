"""The verb ``corrections``: its document, its refusals, and what a person sees."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal, in_a_process

from primecoat.colour.ocio import DEFAULT_CONFIG

OLD = """\
space = "lin_rec709_scene"

[[correction]]
exposure = 0.5

[[correction]]
name = "warm"
white_balance = [1.2, 1, 0.8]

[[correction]]
name = "highlights"
points = [[0, 0], [0.18, 0.18], [1, 0.8], [8, 1]]
beyond = "hold"

[[correction]]
space = "srgb_rec709_display"
power = 1.1
"""


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "old.toml"
    path.write_text(OLD, encoding="utf-8")
    return path


def test_document(old: Path, terminal: Terminal):
    outcome = terminal("corrections", old, "--json")
    assert (outcome.code, outcome.err) == (0, "")
    document = outcome.document
    assert document["document"] == "primecoat.corrections/1"
    assert (document["config"], document["to"]) == (DEFAULT_CONFIG, "lin_ap1_scene")
    one_by_one = [one["verdict"] for one in document["corrections"]]
    assert one_by_one == ["may stay", "may stay", "must go", "belongs after the view"]
    assert document["whole"]["verdict"] == "must go"
    exposure, warm, highlights, display = document["corrections"]
    assert exposure["restated"]["exposure_stops"] == pytest.approx(0.5)
    assert warm["restated"]["matrix"][0] == pytest.approx([1.2093, -0.075022, -0.021135], abs=1e-6)
    curve = warm["probe"]["curve"]
    at = curve["stops"].index(0.0)
    assert curve["out"][at] == pytest.approx([1.2 * 0.18, 0.18, 0.8 * 0.18])
    assert highlights["probe"]["clips_above"] == pytest.approx(8.0, rel=1e-3)
    assert highlights["probe"]["homogeneity"] > 0.5
    assert highlights["restated"] is None
    assert display["probe"] is None
    assert display["codes"]["by"] == "codes"
    middle = display["codes"]["in"].index(0.5)
    assert display["codes"]["out"][middle] == pytest.approx([0.5**1.1] * 3)


def test_numbers_without_end_are_null(tmp_path: Path, terminal: Terminal):
    path = tmp_path / "old.toml"
    path.write_text('space = "lin_ap1_scene"\n[[correction]]\npower = 200\n', encoding="utf-8")
    document = terminal("corrections", path, "--json").document
    assert document["whole"]["verdict"] == "must go"
    assert document["whole"]["probe"]["homogeneity"] is None


def test_space_that_nobody_says(tmp_path: Path, terminal: Terminal):
    path = tmp_path / "old.toml"
    path.write_text("[[correction]]\nexposure = 1\n", encoding="utf-8")
    outcome = terminal("corrections", path)
    assert outcome.code == 2
    assert "--from SPACE" in outcome.line
    assert terminal("corrections", path, "--from", "ACEScg").code == 0


def test_new_space_must_be_linear(old: Path, terminal: Terminal):
    outcome = terminal("corrections", old, "--to", "srgb_rec709_scene")
    assert outcome.code == 2
    assert "linear" in outcome.line


@pytest.mark.parametrize("columns", [80, 120])
def test_fits_a_terminal(columns: int, old: Path, monkeypatch: pytest.MonkeyPatch):
    for name, value in (("COLUMNS", str(columns)), ("TTY_COMPATIBLE", "1"), ("NO_COLOR", "1")):
        monkeypatch.setenv(name, value)
    outcome = in_a_process("corrections", old)
    assert outcome.code == 0
    lines = re.sub(r"\x1b\[\d*m", "", outcome.out).splitlines()
    assert max(map(len, lines)) <= columns
    assert "  +0.50 *************************************" in [line.rstrip() for line in lines]
    assert any("gains" in line and "1.0992, 1.0170, 0.8416" in line for line in lines)
