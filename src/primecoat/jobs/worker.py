"""The processes that do jobs apart from the one that a person started.

They are spawned, never forked: an image library whose threads have started does not survive a fork.
They end when the process that started them is killed, and have a name by which the package knows
that it need not load what no job asks for.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import multiprocessing.connection
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing.context import SpawnContext, SpawnProcess
from typing import Any

_NAME = "primecoat worker"


class _Worker(SpawnProcess):
    """A process that bears the workers' name from its first step on."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs | {"name": _NAME})


class _Workers(SpawnContext):
    Process = _Worker


def worker_pool(count: int) -> ProcessPoolExecutor:
    """Return a pool of so many workers; they start at its first job."""
    return ProcessPoolExecutor(count, mp_context=_Workers(), initializer=_end_with_parent)


def in_worker() -> bool:
    """Return whether this process is a worker.

    Examples
    --------
    >>> in_worker()
    False
    """
    return multiprocessing.current_process().name == _NAME


def _end_with_parent() -> None:
    """See to it that this worker ends when the process that started it is killed."""
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def wait() -> None:
        multiprocessing.connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


@contextlib.contextmanager
def interrupts_held() -> Iterator[None]:
    """Start processes that do not hear an interrupt: they inherit what is held here."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
