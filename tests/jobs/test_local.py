"""Jobs in worker processes, also when one takes its worker down."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from primecoat import jobs
from primecoat.errors import UseError
from primecoat.processes import process_is_alive


def die_on_three(item: int) -> int:
    """End the whole process without a word for 3; else return the square."""
    if item == 3:
        os._exit(1)
    return item * item


def own_process(_: int) -> int:
    return os.getpid()


def own_process_or_die(item: int) -> int:
    return own_process(die_on_three(item))


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


def test_one_that_dies_costs_few_starts():
    """The others share a worker again: one that dies is tried alone, with those beside it only."""
    results = dict(jobs.LocalEngine(1, apart=True).run(own_process_or_die, list(range(30))))
    assert isinstance(results.pop(3), jobs.WorkerDiedError)
    assert len(results) == 29
    assert len(set(results.values())) <= 4, "before, two beside it, and after"
    assert os.getpid() not in results.values()


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
    results.close()


def test_nothing_to_do():
    """No items, no results."""
    assert list(jobs.LocalEngine(2).run(own_process, [])) == []


def test_cores():
    """At least one process can run."""
    assert 1 <= jobs.cores() <= (os.cpu_count() or 1)


_PARENT = """
import os, sys, time
from pathlib import Path
from primecoat import jobs
from tests.jobs.test_local import leave_mark_and_sleep
if __name__ == "__main__":
    list(jobs.LocalEngine(2).run(leave_mark_and_sleep, [sys.argv[1]] * 4))
"""


def leave_mark_and_sleep(folder: str) -> None:
    """Say who works, then work long; an interrupt would leave a mark too."""
    try:
        (Path(folder) / f"{os.getpid()}.pid").touch()
        time.sleep(60)
    except KeyboardInterrupt:
        (Path(folder) / "interrupted").touch()
        raise


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGINT])
def test_workers_end_with_the_process_that_started_them(tmp_path: Path, number: int):
    """Killed, or interrupted as by a terminal: all workers end, and none tells of an interrupt."""
    parent = subprocess.Popen(
        [sys.executable, "-c", _PARENT, str(tmp_path)],
        stderr=subprocess.PIPE,
        start_new_session=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        text=True,
    )
    wait_for(lambda: len(list(tmp_path.glob("*.pid"))) == 2)
    workers = [int(mark.stem) for mark in tmp_path.glob("*.pid")]
    if number == signal.SIGINT:
        os.killpg(parent.pid, number)
    else:
        parent.kill()
    _, said = parent.communicate(timeout=20)
    wait_for(lambda: not any(map(process_is_alive, workers)))
    assert not (tmp_path / "interrupted").exists()
    assert said.count("Traceback") == (number == signal.SIGINT), said


def wait_for(happens: Callable[[], bool]) -> None:
    deadline = time.monotonic() + 20
    while not happens() and time.monotonic() < deadline:
        time.sleep(0.02)
    assert happens()


def test_threads_share_the_cores():
    """As many threads in all as cores, whatever is asked; one picture has all of them."""
    place = jobs.Workplace(workers=4)
    assert place.threads(place.engine(0), 1) == jobs.cores()
    assert place.threads(place.engine(0), 9) == max(1, jobs.cores() // 4)
    assert jobs.Workplace(workers=1).threads(jobs.LocalEngine(1), 9) == jobs.cores()
    assert jobs.Workplace(cluster="local").threads(jobs.ClusterEngine("local"), 9) == 1


def test_where_jobs_run():
    """Small work stays in this process; both places at once, or no workers, are refused."""
    assert jobs.Workplace().engine(1) == jobs.LocalEngine(1)
    assert jobs.Workplace().engine(10**9) == jobs.LocalEngine(jobs.cores())
    assert jobs.Workplace(cluster="tcp://kiln:8786").engine(1) == jobs.ClusterEngine(
        "tcp://kiln:8786"
    )
    with pytest.raises(UseError, match="not both"):
        jobs.Workplace(2, "local")
    with pytest.raises(UseError, match="--workers 1"):
        jobs.Workplace(0)
