"""Worker processes that stay, for single jobs whose end of a worker must not be ours."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import ParamSpec, TypeVar

from primecoat.jobs.engine import WorkerDiedError
from primecoat.jobs.worker import interrupts_held, worker_pool

P = ParamSpec("P")
T = TypeVar("T")


class WarmWorkers:
    """Some worker processes, started at the first job and again after one of them ended.

    Parameters
    ----------
    count
        How many.
    """

    def __init__(self, count: int) -> None:
        self._count = count
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()

    def run(self, function: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> T:
        """Do one job in a worker and return what it gives; any number of threads may ask.

        Raises
        ------
        WorkerDiedError
            If the worker ended twice, the second time while it did this job alone.
        """
        pool, future = self._begin(function, *args, **kwargs)
        try:
            return future.result()
        except BrokenProcessPool:  # whose job it was is not told: each is tried alone
            self._forget(pool)
        alone = WarmWorkers(1)
        try:
            return alone._begin(function, *args, **kwargs)[1].result()
        except BrokenProcessPool as error:
            raise WorkerDiedError("the worker process ended while it read this file") from error
        finally:
            alone.close()

    def warm(self, function: Callable[[], object]) -> None:
        """Start a worker and have it do something that nobody waits for."""
        self._begin(function)

    def close(self) -> None:
        """End the workers."""
        with self._lock:
            pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(cancel_futures=True)  # waits: what they hold is given back

    def _begin(
        self, function: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs
    ) -> tuple[ProcessPoolExecutor, Future[T]]:
        for _ in range(2):
            with self._lock:
                pool = self._pool = self._pool or worker_pool(self._count)
                try:
                    with interrupts_held():  # workers do not hear the terminal's interrupt
                        return pool, pool.submit(function, *args, **kwargs)
                except BrokenProcessPool:  # it ended while nobody asked
                    self._pool = None
        raise WorkerDiedError("worker processes cannot be started")

    def _forget(self, pool: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is pool:
                self._pool = None
        pool.shutdown(wait=False)
