"""A process ends itself at a moment: the system sends it SIGKILL, whatever it is doing then.

A timer of the system is exact where a killer in another process, on a busy machine, is late. Source
of the calls and numbers: timer_create(2), timer_settime(2), sigevent(3type), Linux.
"""

from __future__ import annotations

import ctypes
import os
import signal
import struct
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from mmap import mmap
from pathlib import Path
from typing import Any

_CLOCK_MONOTONIC, _SIGEV_SIGNAL, _SIGEV_SIZE = 1, 0, 64

_TIMES = struct.Struct("dd")


@dataclass(frozen=True)
class Moment:
    """When to kill: some seconds after the start, or after a file is first opened to add to it."""

    seconds: float
    file: Path | None = None


class _Event(ctypes.Structure):
    _fields_ = (
        ("value", ctypes.c_void_p),
        ("number", ctypes.c_int),
        ("how", ctypes.c_int),
        ("rest", ctypes.c_byte * (_SIGEV_SIZE - 16)),
    )


class _Times(ctypes.Structure):
    _fields_ = tuple((name, ctypes.c_long) for name in ("every_s", "every_ns", "in_s", "in_ns"))


def sentence(moment: Moment) -> None:
    """Have this process killed at a moment; there is no way back."""
    if not moment.file:
        _kill_in(moment.seconds)
        return
    seconds, waiting = moment.seconds, [True]

    def opened() -> None:
        if waiting:
            waiting.clear()
            _kill_in(seconds)

    _whenever_added_to(moment.file, opened)


def watch(file: Path, times: mmap) -> None:
    """Keep in shared memory when a file was first opened to add to it, and when last."""

    def opened() -> None:
        first = _TIMES.unpack(times[: _TIMES.size])[0]
        now = time.monotonic()
        times[: _TIMES.size] = _TIMES.pack(first or now, now)

    _whenever_added_to(file, opened)


def watched(times: mmap) -> float:
    """Return how many seconds lay between the two."""
    first, last = _TIMES.unpack(times[: _TIMES.size])
    return float(last - first)


def _whenever_added_to(file: Path, act: Callable[[], None]) -> None:
    wanted = str(file)

    def hook(event: str, arguments: tuple[Any, ...]) -> None:
        adds = event == "open" and "a" in (arguments[1] or "r")
        if adds and str(arguments[0]) == wanted:
            act()

    sys.addaudithook(hook)


def _kill_in(seconds: float) -> None:
    libc = ctypes.CDLL(None, use_errno=True)
    event, timer = _Event(number=signal.SIGKILL, how=_SIGEV_SIGNAL), ctypes.c_void_p()
    whole = max(int(seconds * 1e9), 1)
    times = _Times(in_s=whole // 10**9, in_ns=whole % 10**9)
    if libc.timer_create(_CLOCK_MONOTONIC, ctypes.byref(event), ctypes.byref(timer)) or (
        libc.timer_settime(timer, 0, ctypes.byref(times), None)
    ):
        raise OSError(ctypes.get_errno(), os.strerror(ctypes.get_errno()))
