from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from primecoat.cli.main import run

Json = dict[str, Any]


@pytest.fixture(scope="session")
def faulted(tmp_path_factory: pytest.TempPathFactory, written_faulted: Path) -> Path:
    """Return the demo scene with its faults, surveyed once so that every copy starts measured."""
    return _surveyed(written_faulted, tmp_path_factory.mktemp("faulted") / "tea")


@pytest.fixture(scope="session")
def clean(tmp_path_factory: pytest.TempPathFactory, written_clean: Path) -> Path:
    """Return its faultless twin."""
    return _surveyed(written_clean, tmp_path_factory.mktemp("clean") / "tea")


def _surveyed(written: Path, folder: Path) -> Path:
    shutil.copytree(written, folder)
    for scene in ("tea.gltf", "tea.csv"):
        run(["survey", str(folder / scene)])
    return folder


@pytest.fixture
def scene(tmp_path: Path, faulted: Path, clean: Path) -> Callable[[str], Path]:
    """Return a maker of copies of one of the twins, with what was measured of it."""

    def copy(twin: str) -> Path:
        source = {"faulted": faulted, "clean": clean}[twin]
        shutil.copytree(source, tmp_path / twin)
        measures = tmp_path / twin / ".primecoat" / "measures.jsonl"
        assert measures.is_file()
        return tmp_path / twin

    return copy


class Told:
    """The command line, in this process: exit codes, and what was printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *arguments: str | Path) -> int:
        """Run a command; return its exit code."""
        self._capsys.readouterr()
        return run([str(argument) for argument in arguments])

    def text(self) -> str:
        """Return what the last command printed."""
        return self._capsys.readouterr().out

    def json(self, *arguments: str | Path) -> Json:
        """Run a command with ``--json``; return its document."""
        self(*arguments, "--json")
        document: Json = json.loads(self.text())
        return document


@pytest.fixture
def primecoat(capsys: pytest.CaptureFixture[str]) -> Told:
    """Return the command line."""
    return Told(capsys)
