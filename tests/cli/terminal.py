"""Running the command line as a person or a script would."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from tests.schemas.checking import check_document

from primecoat.cli.main import run


@dataclass(frozen=True)
class Outcome:
    """Exit code and what came out where."""

    code: int
    out: str
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """The one JSON document on stdout, which fits its schema; an error if there is more."""
        found: dict[str, Any] = json.loads(self.out)
        assert self.out.endswith("}\n")
        check_document(found)
        return found

    @property
    def line(self) -> str:
        """The one line on stderr."""
        (line,) = self.err.splitlines()
        return line


class Terminal:
    """The command line, run in this process."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *arguments: str | Path) -> Outcome:
        self._capsys.readouterr()
        code = run([str(argument) for argument in arguments])
        captured = self._capsys.readouterr()
        return Outcome(code, captured.out, captured.err)


def in_a_process(*arguments: str | Path, **options: Any) -> Outcome:
    """Run ``python -m primecoat`` in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "primecoat", *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        check=False,
        **options,
    )
    return Outcome(done.returncode, done.stdout, done.stderr)


def snapshot(folder: Path) -> dict[str, Any]:
    """Return everything in a folder: kinds, links, bytes, times; to compare before and after."""
    found: dict[str, Any] = {}
    for at, folders, names in os.walk(folder):
        for name in (*folders, *names):
            path = Path(at) / name
            facts = path.lstat()
            key = path.relative_to(folder).as_posix()
            if path.is_symlink():
                found[key] = ("link", str(path.readlink()))
            elif path.is_file():
                found[key] = ("file", path.read_bytes(), facts.st_mtime_ns)
            else:
                found[key] = ("other", facts.st_mode)
    return found
