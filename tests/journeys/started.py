"""A process for one act: started by a fork, waited for, or killed at a moment."""

from __future__ import annotations

import contextlib
import os
import select
import signal
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.journeys.sentence import Moment, sentence

KINDS = ("lost bytes", "scenes that do not open", "stuck states", "untrue journals")
_STUCK = KINDS[2]
_SECONDS_TO_END = 120


class FaultError(Exception):
    """Something that must hold does not."""

    def __init__(self, kind: str, words: str) -> None:
        super().__init__(words)
        self.kind = kind


@dataclass(frozen=True)
class Started:
    """A process at work; ``told`` can be read once its act is over."""

    pid: int
    told: int

    def over(self) -> bool:
        """Whether the act is over, be the process still there or not."""
        return bool(select.select([self.told], [], [], 0)[0])


def start(
    act: Callable[[], int], out: Path | None = None, first: Callable[[], None] | None = None
) -> Started:
    """Run an act in a new process, in a group of its own; return once it has begun its work."""
    reader, writer = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writer)
        os.read(reader, 1)
        return Started(pid, reader)
    code = 99
    with contextlib.suppress(BaseException):
        os.setsid()
        nowhere = os.open(os.devnull, os.O_RDWR)
        told = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644) if out else nowhere
        for number, to in enumerate((nowhere, told, nowhere)):
            os.dup2(to, number)
        os.write(writer, b"!")
        if first:
            first()
        code = act()
        sys.stdout.flush()
    os.write(writer, b".")
    os._exit(code)


def ended(started: Started) -> int:
    """Wait for a process; return its exit code, negative for a signal.

    Raises
    ------
    FaultError
        If it does not end.
    """
    late = not select.select([started.told], [], [], _SECONDS_TO_END)[0]  # its pipe closes too
    os.close(started.told)
    if late:
        os.killpg(started.pid, signal.SIGKILL)
    status = os.waitpid(started.pid, 0)[1]
    if late:
        raise FaultError(_STUCK, f"a process had not ended after {_SECONDS_TO_END} s")
    return os.waitstatus_to_exitcode(status)


def killed(act: Callable[[], int], moment: Moment) -> bool:
    """Start an act that is killed at a moment; return whether it was still at work then."""
    started = start(act, first=lambda: sentence(moment))
    told = os.dup(started.told)
    code = ended(started)
    with contextlib.suppress(ProcessLookupError):  # workers of its own
        os.killpg(started.pid, signal.SIGKILL)
    over = os.read(told, 1) == b"."
    os.close(told)
    return code == -signal.SIGKILL and not over
