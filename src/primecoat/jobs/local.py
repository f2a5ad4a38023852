"""Jobs on this machine: in this process, or in worker processes.

Workers are spawned, never forked: an image library whose threads have started does not survive
a fork. A job that takes its worker down is reported as such; the others go on.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass

from primecoat.jobs.engine import Item, Result, WorkerDiedError


@dataclass(frozen=True, slots=True)
class LocalEngine:
    """Runs jobs on this machine.

    Parameters
    ----------
    workers
        Number of processes; 1 runs the jobs in this one, one after the other.

    Examples
    --------
    >>> sorted(LocalEngine().run(len, ["a", "bc"]))
    [(0, 1), (1, 2)]
    """

    workers: int = 1

    def run(
        self, function: Callable[[Item], Result], items: Sequence[Item]
    ) -> Iterator[tuple[int, Result | WorkerDiedError]]:
        """Yield the index and the result of every job; see :class:`primecoat.jobs.Engine`."""
        if self.workers <= 1 or len(items) < 2:
            for index, item in enumerate(items):
                yield index, function(item)
            return
        waiting = set(range(len(items)))
        try:
            for index, result in _pooled(function, items, sorted(waiting), self.workers):
                waiting.discard(index)
                yield index, result
        except BrokenProcessPool:
            for index in sorted(waiting):
                yield index, _alone(function, items, index)


def cores() -> int:
    """Return how many processes can run at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _pooled(
    function: Callable[[Item], Result], items: Sequence[Item], indices: Sequence[int], workers: int
) -> Iterator[tuple[int, Result]]:
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(min(workers, len(indices)), mp_context=context) as pool:
        futures: dict[Future[Result], int] = {
            pool.submit(function, items[index]): index for index in indices
        }
        try:
            for future in as_completed(futures):
                yield futures[future], future.result()
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _alone(
    function: Callable[[Item], Result], items: Sequence[Item], index: int
) -> Result | WorkerDiedError:
    try:
        return next(_pooled(function, items, [index], 1))[1]
    except BrokenProcessPool:
        return WorkerDiedError("the worker process ended while it read this file")
