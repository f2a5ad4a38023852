"""Hostile inputs by name: each costs one clear line, in no time, and nothing outside is opened."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.cli.terminal import Outcome, Terminal, snapshot
from tests.hostile.bombs import BOMBS
from tests.hostile.case import Case
from tests.hostile.looks import CDL, LOOKS
from tests.hostile.paths import PATHS
from tests.hostile.states import STATES
from tests.scenes import builders as b
from tests.scenes.test_usd_confine import CLIP, SECRET, opened

CASES: dict[str, Case] = {**PATHS, **BOMBS, **LOOKS, **STATES}

pytestmark = pytest.mark.skipif(os.name == "nt", reason="written for systems with links and '/'")


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Terminal:
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


@pytest.fixture
def world(tmp_path: Path) -> Path:
    """A folder for the input, and beside it one that must never be opened."""
    out = tmp_path / "outside"
    out.mkdir()
    (out / "x.png").write_bytes(b.png())
    (out / "x.usda").write_text("#usda 1.0\n" + SECRET, encoding="utf-8")
    (out / "x.mtlx").write_text('<materialx version="1.39"/>', encoding="utf-8")
    (out / "grade.cc").write_text(CDL % ("", "2"), encoding="utf-8")
    (out / "clip.usda").write_text(CLIP, encoding="utf-8")
    folder = tmp_path / "a" / "scene"
    folder.mkdir(parents=True)
    return folder


@pytest.fixture
def shut(world: Path) -> Iterator[None]:
    """Hold that nothing outside was opened or changed."""
    out = world.parent.parent / "outside"
    before = snapshot(out)
    if sys.platform != "linux":
        yield
    else:
        with opened(out) as names:
            yield
        assert names == []
    assert snapshot(out) == before


def messages(outcome: Outcome) -> list[str]:
    """Return what was told: the line on stderr, and each finding with its remedy."""
    told = outcome.err.splitlines()
    if outcome.out.startswith("{"):
        told += [f"{f['message']} {f['remedy']}" for f in outcome.document.get("findings", [])]
    return told or [outcome.out]


@pytest.mark.usefixtures("shut")
@pytest.mark.parametrize("name", CASES)
def test_one_clear_line(name: str, world: Path, terminal: Terminal) -> None:
    """The exit code, the words, no traceback, no wait."""
    case = CASES[name]
    target = case.make(world)
    command = [str(target) if word is None else word for word in case.command]
    began = time.monotonic()
    outcome = terminal(*command)
    took = time.monotonic() - began
    told = messages(outcome)
    assert outcome.code == case.code, told
    assert any(all(word in line for word in case.words) for line in told), told
    assert len(outcome.err.splitlines()) == (1 if outcome.code == 2 else len(outcome.err) > 0)
    assert "Traceback" not in outcome.out + outcome.err
    assert "fault of primecoat" not in outcome.err
    assert took < 8, "a busy machine is allowed for; alone it is well under 2 s"


def test_there_are_a_hundred() -> None:
    """The number that is promised; names that are hostile have tests of their own below."""
    assert len(CASES) >= 100
