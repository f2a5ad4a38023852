"""Exit codes, and the one line that goes with each."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import numpy as np
import pytest
import typer
from tests.cli.terminal import Terminal, in_a_process, snapshot
from tests.scenes import builders as b

from primecoat import __version__
from primecoat.cli.run import run_app
from primecoat.images.oiio import write_pixels


def test_version_as_a_module():
    """``python -m primecoat --version`` names primecoat and the libraries."""
    outcome = in_a_process("--version")
    assert (outcome.code, outcome.err) == (0, "")
    lines = outcome.out.splitlines()
    assert lines[0] == f"primecoat {__version__}"
    assert [line.split()[0] for line in lines[1:]] == ["OpenColorIO", "OpenImageIO", "NumPy"]


def test_ready(scene: Path, terminal: Terminal):
    """0: done and ready."""
    outcome = terminal("survey", scene)
    assert (outcome.code, outcome.err) == (0, "")
    assert "maps/cup.png" in outcome.out


def test_not_ready(tmp_path: Path, terminal: Terminal):
    """1: done, but a finding of severity error stands."""
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "gone.png"}]))
    outcome = terminal("survey", scene)
    assert (outcome.code, outcome.err) == (1, "")
    assert "PC401" in outcome.out


@pytest.mark.parametrize(
    "arguments",
    [
        ["frobnicate"],
        ["survey"],
        ["survey", "--frobnicate"],
        ["survey", "a", "b"],
        ["plan", "a", "--route"],
        ["--frobnicate"],
        ["decide", "a", "b"],
    ],
)
def test_wrong_use(arguments: list[str], terminal: Terminal):
    """2: an unknown verb or option, or a missing word, is one line that shows the way to help."""
    outcome = terminal(*arguments)
    assert (outcome.code, outcome.out) == (2, "")
    assert outcome.line.startswith("primecoat: ")
    assert "--help" in outcome.line


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["survey", "SCENE", "--from", "moonlight"], "moonlight"),
        (["survey", "SCENE", "--to", "data"], "'data'"),
        (["survey", "SCENE", "--config", "no-such-config"], "no-such-config"),
        (["survey", "SCENE", "--root", "nowhere"], "nowhere"),
        (["survey", "SCENE", "--without", "moon"], "moon"),
        (["plan", "SCENE", "--route", "paint", "--out", "OUT"], "paint"),
        (["plan", "SCENE", "--out", "nowhere/plan.json"], "nowhere"),
        (["plan", "SCENE", "--out", "SCENE"], "is no plan"),
        (["report", "SCENE", "--out", "SCENE"], "cannot be written as"),
        (["sheet", "SCENE", "--out", "SCENE"], "was not written by this verb"),
        (["sheet", "SCENE", "--out", "nowhere/settings.csv"], "nowhere"),
        (["undo", "SCENE"], "nothing to take back"),
        (["apply", "nowhere.json"], "nowhere.json"),
        (["apply", "SCENE"], "primecoat.plan/1"),
    ],
)
def test_use_that_cannot_be(
    arguments: list[str], words: str, scene: Path, tmp_path: Path, terminal: Terminal
):
    """2: a call that cannot be carried out is one line that names the trouble; nothing changes."""
    places = {"SCENE": scene, "OUT": tmp_path / "plan.json"}
    before = snapshot(tmp_path)
    outcome = terminal(*(places.get(a, a) for a in arguments))
    assert (outcome.code, outcome.out) == (2, "")
    assert words in outcome.line
    after = {k: v for k, v in snapshot(tmp_path).items() if ".primecoat" not in k}
    assert after == before  # the cache of measures may have come


def test_no_words_at_all(terminal: Terminal):
    """2: without a verb the help is shown, readable."""
    outcome = terminal()
    assert (outcome.code, outcome.err) == (2, "")
    assert "survey" in outcome.out
    assert "\\n" not in outcome.out


@pytest.mark.parametrize("verb", [[], ["survey"], ["why"], ["decide"], ["plan"], ["gate"]])
def test_help(verb: list[str], terminal: Terminal):
    """0: help is no failure."""
    outcome = terminal(*verb, "--help")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.strip()


def test_own_failure(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """3: a fault of our own is one line with a log that holds the traceback."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    app = typer.Typer()

    @app.command()
    def fail() -> None:
        raise ZeroDivisionError("a fault")

    assert run_app(app, ["--"]) == 3
    captured = capsys.readouterr()
    assert captured.out == ""
    (line,) = captured.err.splitlines()
    (log,) = tmp_path.iterdir()
    assert str(log) in line
    assert "Traceback" not in line
    assert "ZeroDivisionError: a fault" in log.read_text()


def test_interrupted(tmp_path: Path, terminal: Terminal):
    """130: an interrupt in the middle of work ends with one line."""
    noise = np.random.default_rng(1).integers(0, 65535, (3000, 3000, 3), dtype=np.uint16)
    write_pixels(tmp_path / "a.tif", noise)
    for delay in (0.05, 0.1, 0.2, 0.4):  # one that falls into a callback of the interpreter is lost
        folder = tmp_path / str(delay)  # of which no measures are kept
        folder.mkdir()
        (folder / "a.tif").hardlink_to(tmp_path / "a.tif")
        timer = threading.Timer(delay, _interrupt)
        timer.start()
        try:
            outcome = terminal("survey", folder, "--json")
        finally:
            timer.join()
        if outcome.code:
            break
    assert (outcome.code, outcome.out) == (130, "")
    assert "interrupted" in outcome.line


def _interrupt() -> None:
    import _thread

    _thread.interrupt_main()


def test_reader_that_goes_away(scene: Path):
    """Output into a pipe whose reader has gone ends quietly."""
    command = [sys.executable, "-m", "primecoat", "survey", str(scene), "--json"]
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(command, stdout=writer, stderr=subprocess.PIPE, timeout=60, check=False)
    os.close(writer)
    assert b"Traceback" not in done.stderr
    assert done.stderr == b""


def test_terminal_that_knows_ascii_only(tmp_path: Path):
    """Names of any script come out where the terminal's encoding is ASCII."""
    (tmp_path / "茶碗.png").write_bytes(b.png())
    environment = os.environ | {"PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    outcome = in_a_process("survey", tmp_path, "--json", env=environment)
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.document["images"][0]["path"] == "茶碗.png"


def test_report_over_its_older_self(scene: Path, tmp_path: Path, terminal: Terminal):
    """A report or a sheet may take the place of an older one of its kind, and of nothing else."""
    for verb, name in (("report", "report.html"), ("sheet", "s.csv"), ("sheet", "s.html")):
        out = tmp_path / name
        assert terminal(verb, scene, "--out", out).code == 0
        assert terminal(verb, scene, "--out", out).code == 0
        out.write_text("mine")
        assert terminal(verb, scene, "--out", out).code == 2
        assert out.read_text() == "mine"
