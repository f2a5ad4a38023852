"""Which processes of this machine run."""

from __future__ import annotations

import ctypes
import os
import sys


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
