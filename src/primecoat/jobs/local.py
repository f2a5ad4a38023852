"""Jobs on this machine: in this process, or in worker processes.

A job that takes its worker down is reported as such; the others go on. An interrupt from the
terminal reaches this process only, which then ends its workers.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Future, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass

from primecoat.jobs.engine import Item, Result, WorkerDiedError
from primecoat.jobs.worker import interrupts_held, worker_pool


@dataclass(frozen=True, slots=True)
class LocalEngine:
    """Runs jobs on this machine.

    Parameters
    ----------
    workers
        Number of processes; 1 runs the jobs in this one, one after the other.
    apart
        Never run a job in this process, whose end would be ours.

    Examples
    --------
    >>> sorted(LocalEngine().run(len, ["a", "bc"]))
    [(0, 1), (1, 2)]
    """

    workers: int = 1
    apart: bool = False

    def run(
        self, function: Callable[[Item], Result], items: Sequence[Item]
    ) -> Generator[tuple[int, Result | WorkerDiedError]]:
        """Yield the index and the result of every job; see :class:`primecoat.jobs.Engine`."""
        if not items or (self.workers <= 1 and not self.apart):
            for index, item in enumerate(items):
                yield index, function(item)
            return
        workers = max(1, self.workers)
        waiting = list(range(len(items)))
        while waiting:
            ended: set[int] = set()
            try:
                for index, result in _pooled(function, items, waiting, workers):
                    ended.add(index)
                    yield index, result
                return
            except BrokenProcessPool:
                waiting = [index for index in waiting if index not in ended]
            # Jobs are handed out in order, one to each worker and one more than that beside.
            suspects, waiting = waiting[: 2 * workers + 1], waiting[2 * workers + 1 :]
            for index in suspects:
                yield index, _alone(function, items, index)


def cores() -> int:
    """Return how many processes can run at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _pooled(
    function: Callable[[Item], Result], items: Sequence[Item], indices: Sequence[int], workers: int
) -> Iterator[tuple[int, Result]]:
    others = set(multiprocessing.active_children())
    ended = False
    count = min(workers, len(indices))
    with worker_pool(count) as pool:
        with interrupts_held():
            futures: dict[Future[Result], int] = {
                pool.submit(function, items[index]): index for index in indices
            }
        started = set(multiprocessing.active_children()) - others
        told: set[Future[Result]] = set()
        try:
            for future in as_completed(futures):
                try:
                    result = future.result()
                except BrokenProcessPool:
                    late = [f for f in futures if f is not future and f not in told and _gave(f)]
                    yield from ((futures[f], f.result()) for f in late)
                    raise
                told.add(future)
                yield futures[future], result
            ended = True
        finally:
            if not ended:  # nobody wants what is still being done
                for worker in started:
                    worker.terminate()
            # waits: a thread of the pool that outlives it complains when the program ends
            pool.shutdown(cancel_futures=True)


def _gave(future: Future[Result]) -> bool:
    return future.done() and future.exception() is None


def _alone(
    function: Callable[[Item], Result], items: Sequence[Item], index: int
) -> Result | WorkerDiedError:
    try:
        return next(_pooled(function, items, [index], 1))[1]
    except BrokenProcessPool:
        return WorkerDiedError("the worker process ended while it read this file")
