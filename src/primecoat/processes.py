"""Which processes of this machine run."""

from __future__ import annotations

import ctypes
import os
import sys
from pathlib import Path

_BOOT, _STAT, _STARTED = "/proc/sys/kernel/random/boot_id", "/proc/{}/stat", 19
"""Which start of Linux this is, and what it tells of a process; number of the field that says when
it was started, counted from the one after the name. Source: proc_pid_stat(5), random(4)."""


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
        return True
    return True


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
    try:
        boot, stat = (Path(p).read_text("utf-8", "replace") for p in (_BOOT, _STAT.format(pid)))
    except OSError:
        return ""
    return f"{boot.strip()}/{stat.rpartition(')')[2].split()[_STARTED]}"
