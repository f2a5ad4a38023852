"""Which processes of this machine run."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_BOOT, _STAT = "/proc/sys/kernel/random/boot_id", "/proc/{}/stat"
"""Which start of Linux this is, and what it tells of a process. Source: proc_pid_stat(5),
random(4)."""

_STATE, _STARTED = 0, 19
"""Numbers of the fields that say what a process does and when it was started, counted from the one
after the name."""

_ENDED = ("Z", "X")
"""States of a process that runs no more and whose parent has not asked how it ended: in a container
whose first process does not do so, that is for ever."""


def process_is_alive(pid: int) -> bool:
    """Whether a process of this host runs."""
    if pid <= 0:
        return False
    if sys.platform == "win32":
        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, pid)
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass
    fields = _fields(pid)
    return not fields or fields[_STATE] not in _ENDED


def process_start(pid: int) -> str:
    """Return what tells a process from a later one with its number; empty if that is not known.

    It depends on no clock. It is known on Linux only.

    Examples
    --------
    >>> process_start(os.getpid()) == process_start(os.getpid())
    True
    >>> process_start(-1)
    ''
    """
    fields = _fields(pid)
    try:
        boot = Path(_BOOT).read_text("utf-8", "replace").strip()
    except OSError:
        return ""
    return f"{boot}/{fields[_STARTED]}" if fields else ""


def _fields(pid: int) -> list[str]:
    """Return what Linux tells of a process after its name; nothing where it does not."""
    try:
        stat = Path(_STAT.format(pid)).read_text("utf-8", "replace")
    except OSError:
        return []
    return stat.rpartition(")")[2].split()
