"""The processes that do jobs apart from the one that a person started.

They are spawned, never forked: an image library whose threads have started does not survive a fork.
They end when the process that started them is killed.
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


def worker_pool(count: int) -> ProcessPoolExecutor:
    """Return a pool of so many workers; they start at its first job."""
    return ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=_end_with_parent
    )


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
