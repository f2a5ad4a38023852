"""A crash at a chosen step: from then on nothing more reaches the disk.

Every call that changes the disk is counted, in this process: those of :mod:`os` that
:mod:`primecoat.files`, :mod:`pathlib`, :mod:`tempfile` and :mod:`shutil` use, and the one-step
rename. When the chosen one comes, it is not carried out, and neither is anything after it, be it in
a ``finally``: so the disk is as it was when a process was killed there. A ``torn`` crash in
``fsync`` cuts what had not been synced in half first, as a power cut can.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from primecoat import files

_PRIMITIVES = (
    "fsync", "link", "rename", "replace", "unlink", "rmdir", "mkdir", "chmod", "utime",
)  # fmt: skip


class Crash(BaseException):
    """The process ended here."""


class Machine:
    """Counts the steps of one act and stops it at one of them.

    Parameters
    ----------
    monkeypatch
        Undone by the caller once the act is over.
    stop_at
        Number of the step that is not carried out any more; None to only count.
    torn
        Whether bytes that were not synced are lost in half.
    dead
        Number of a process that has ended, for the lock that the act leaves.
    """

    def __init__(
        self, monkeypatch: pytest.MonkeyPatch, stop_at: int | None, torn: bool, dead: int
    ) -> None:
        self.steps = 0
        self.stopped = False
        self._stop_at, self._torn = stop_at, torn
        self._synced: dict[int, int] = {}
        for name in _PRIMITIVES:
            monkeypatch.setattr(os, name, self._wrap(getattr(os, name), name))
        monkeypatch.setattr(
            files, "_rename_if_free", self._wrap(files._rename_if_free, "rename_if_free")
        )
        monkeypatch.setattr(os, "open", self._opening(os.open))
        monkeypatch.setattr(os, "getpid", lambda: dead)

    def _wrap(self, call: Callable[..., Any], name: str) -> Callable[..., Any]:
        def step(*arguments: Any, **options: Any) -> Any:
            self._tick(arguments[0] if name == "fsync" else None)
            if name == "fsync":  # a crash of the process needs no disk
                return self._sync(arguments[0])
            return call(*arguments, **options)

        return step

    def _opening(self, call: Callable[..., int]) -> Callable[..., int]:
        """Making a file is a step; opening one that is there, to read or sync it, is none."""

        def step(path: Any, flags: int, *arguments: Any, **options: Any) -> int:
            if flags & os.O_CREAT:
                self._tick(None)
            return call(path, flags, *arguments, **options)

        return step

    def _tick(self, descriptor: int | None) -> None:
        if not self.stopped:
            self.stopped = self.steps == self._stop_at
            self.steps += 1
            if self.stopped and self._torn and descriptor is not None:
                self._tear(descriptor)
        if self.stopped:
            raise Crash

    def _sync(self, descriptor: int) -> None:
        facts = os.fstat(descriptor)
        self._synced[facts.st_ino] = facts.st_size

    def _tear(self, descriptor: int) -> None:
        facts = os.fstat(descriptor)
        synced = self._synced.get(facts.st_ino)
        path = Path(f"/proc/self/fd/{descriptor}")
        if not path.exists() or path.is_dir():
            return
        if synced is None:  # the journal as it was when the act began ends with a whole line
            data = path.read_bytes()
            synced = data[:-1].rfind(b"\n") + 1 if data.endswith(b"}\n") else 0
        os.truncate(path, synced + (facts.st_size - synced) // 2)


def run(
    act: Callable[[], object], *, stop_at: int | None = None, torn: bool = False, dead: int
) -> Machine:
    """Carry out an act up to a step; return what was counted."""
    with pytest.MonkeyPatch.context() as monkeypatch:
        machine = Machine(monkeypatch, stop_at, torn, dead)
        try:
            act()
        except Crash:
            assert machine.stopped
    return machine


def ended_process() -> int:
    """Return the number of a process that has ended."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    return child.pid
