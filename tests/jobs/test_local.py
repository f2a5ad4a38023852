"""Jobs in worker processes, also when one takes its worker down."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from primecoat import jobs


def die_on_three(item: int) -> int:
    """End the whole process without a word for 3; else return the square."""
    if item == 3:
        os._exit(1)
    return item * item


def own_process(_: int) -> int:
    return os.getpid()


def fail(item: int) -> int:
    raise ValueError(f"no {item}")


def test_workers_give_what_one_gives():
    """Results are the same with two processes, each with its index, in whatever order."""
    items = list(range(7))
    alone = list(jobs.LocalEngine().run(die_on_three, items[:3]))
    assert alone == [(0, 0), (1, 1), (2, 4)]
    assert sorted(jobs.LocalEngine(2).run(len, ["a", "bb", "ccc"])) == [(0, 1), (1, 2), (2, 3)]


def test_work_is_done_elsewhere():
    """With workers nothing runs in this process; without, everything does."""
    assert os.getpid() not in dict(jobs.LocalEngine(2).run(own_process, [1, 2, 3])).values()
    assert set(dict(jobs.LocalEngine().run(own_process, [1, 2, 3])).values()) == {os.getpid()}


def test_worker_that_dies():
    """A job that ends its process is reported as such; every other job has its result."""
    items = [0, 1, 2, 3, 4, 5]
    results = dict(jobs.LocalEngine(2).run(die_on_three, items))
    assert isinstance(results.pop(3), jobs.WorkerDiedError)
    assert results == {0: 0, 1: 1, 2: 4, 4: 16, 5: 25}


def test_failure_reaches_the_caller():
    """An exception that a job does not return is not swallowed."""
    for workers in (1, 2):
        with pytest.raises(ValueError, match="no "):
            list(jobs.LocalEngine(workers).run(fail, [1, 2]))


def test_stopping_early(tmp_path: Path):
    """A caller may stop after the first result."""
    results = jobs.LocalEngine(2).run(own_process, list(range(50)))
    index, pid = next(results)
    assert 0 <= index < 50
    assert pid != os.getpid()
    results.close()  # type: ignore[attr-defined]


def test_nothing_to_do():
    """No items, no results."""
    assert list(jobs.LocalEngine(2).run(own_process, [])) == []


def test_cores():
    """At least one process can run."""
    assert 1 <= jobs.cores() <= (os.cpu_count() or 1)
