"""Run many independent jobs, on all cores where that pays.

Worker processes are spawned, never forked: an image library whose threads have started does not
survive a fork. A job that takes its worker down is reported as such; the others go on.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


class WorkerDiedError(Exception):
    """The process that ran a job ended without a result."""


def run(
    function: Callable[[Item], Result],
    items: Sequence[Item],
    *,
    workers: int = 1,
) -> Iterator[tuple[int, Result | WorkerDiedError]]:
    """Yield the index and the result of every job, as they come.

    Parameters
    ----------
    function
        A module-level function; it should return its failures rather than raise them.
    items
        One argument for each job.
    workers
        Number of processes; 1 runs the jobs here, one after the other.

    Yields
    ------
    tuple
        Index into ``items``, and the result, or :class:`WorkerDiedError`.

    Examples
    --------
    >>> sorted(run(len, ["a", "bc"]))
    [(0, 1), (1, 2)]
    """
    if workers <= 1 or len(items) < 2:
        for index, item in enumerate(items):
            yield index, function(item)
        return
    waiting = set(range(len(items)))
    try:
        for index, result in _pooled(function, items, sorted(waiting), workers):
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
