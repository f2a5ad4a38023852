"""The verbs ``config write``, ``check`` and ``read``, and the gate with a config."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal

OLDEST = "cg-config-v1.0.0_aces-v1.3_ocio-v2.1"
CDL = """<ColorCorrection id="dusk"><SOPNode><Slope>1.1 1 0.9</Slope><Offset>0 0 0</Offset>
<Power>1 1 1</Power></SOPNode><SatNode><Saturation>0.9</Saturation></SatNode></ColorCorrection>"""


@pytest.fixture
def shop(tmp_path: Path, terminal: Terminal, measured_clean: Path) -> Path:
    """A faultless demo whose files carry tokens."""
    folder = shutil.copytree(measured_clean, tmp_path / "shop")
    plan = str(tmp_path / "plan.json")
    terminal("plan", str(folder / "tea.gltf"), "--with-likely", "--out", plan)
    assert terminal("apply", plan).code == 0
    return folder


def test_written_config_is_sound_and_reads_all_files_right(shop: Path, terminal: Terminal):
    """The whole way: write it, check it, see what it reads, pass the gate with it."""
    config = shop / "tea.ocio"
    written = terminal("config", "write", "--out", str(config), "--json")
    assert (written.code, written.err) == (0, "")
    assert written.document["document"] == "primecoat.config_write/1"
    checked = terminal("config", "check", str(config), "--json")
    assert (checked.code, checked.document["document"]) == (0, "primecoat.config_check/1")
    scene = str(shop / "tea.primed.gltf")
    read = terminal("config", "read", str(config), scene, "--json")
    assert (read.code, read.document["document"]) == (0, "primecoat.config_read/1")
    assert {row["verdict"] for row in read.document["files"]} == {"agrees"}
    assert terminal("gate", scene, "--config", str(config)).code == 0


def test_gate_is_closed_by_a_config_that_misreads(shop: Path, terminal: Terminal):
    """The oldest built-in config knows no token: each colour or data file it misreads is left."""
    scene = str(shop / "tea.primed.gltf")
    assert terminal("gate", scene).code == 0
    closed = terminal("gate", scene, "--config", OLDEST, "--json")
    assert closed.code == 1
    assert len(closed.document["left"]) >= 29
    assert any("_normal_data.png" in left["where"] for left in closed.document["left"])
    assert all(left["remedy"] for left in closed.document["left"])


def test_old_look_needs_what_its_file_does_not_say(tmp_path: Path, terminal: Terminal):
    """Space and clamp of a CDL are asked for, one line each; with both the view is there."""
    look, out = tmp_path / "dusk.cc", tmp_path / "tea.ocio"
    look.write_text(CDL, encoding="utf-8")
    words = ["config", "write", "--out", str(out), "--from", "lin_rec709_scene"]
    words += ["--old-look", str(look)]
    for more in ([], ["--old-look-in", "lin_rec709_scene"], ["--old-look-clamp"]):
        refused = terminal(*words, *more)
        assert (refused.code, refused.err.count("\n")) == (2, 1)
        assert not out.exists()
    made = terminal(*words, "--old-look-in", "lin_rec709_scene", "--no-old-look-clamp")
    assert made.code == 0
    assert "dusk.cc" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words",
    [
        ("write", "--out", "tea.txt"),
        ("write", "--out", "tea.ocio", "--base", "moon"),
        ("write", "--out", "tea.ocio", "--look-in", "lin_ap1_scene"),
        ("check", "no-such.ocio"),
        ("read", "no-such.ocio", "."),
        ("read", OLDEST, ".", "--view", "moon"),
    ],
)
def test_wrong_use(words, tmp_path, monkeypatch, terminal: Terminal):
    """One line on stderr, exit 2, nothing written."""
    monkeypatch.chdir(tmp_path)
    refused = terminal("config", *words)
    assert (refused.code, refused.out) == (2, "")
    assert refused.err.count("\n") == 1
    assert not list(tmp_path.glob("*.ocio"))


def test_a_file_that_is_not_ours_stays(tmp_path: Path, terminal: Terminal):
    """A config of the house's own is not overwritten."""
    own = tmp_path / "house.ocio"
    own.write_text("ocio_profile_version: 2\n", encoding="utf-8")
    refused = terminal("config", "write", "--out", str(own))
    assert refused.code == 1
    assert own.read_text(encoding="utf-8") == "ocio_profile_version: 2\n"
