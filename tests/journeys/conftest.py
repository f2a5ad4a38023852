from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from primecoat.cli.main import run

Json = dict[str, Any]


@pytest.fixture
def scene(tmp_path: Path, measured_faulted: Path, measured_clean: Path) -> Callable[[str], Path]:
    """Return a maker of copies of one of the twins, with what was measured of it."""

    def copy(twin: str) -> Path:
        source = {"faulted": measured_faulted, "clean": measured_clean}[twin]
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
