"""Jobs on a Dask cluster over TCP, with workers in processes of their own."""

from __future__ import annotations

import os
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import dask
import pytest
from distributed import LocalCluster

from primecoat import jobs
from primecoat.errors import UseError


def square_slowly(item: tuple[int, str]) -> int:
    """Leave a mark of who works on what, then take a while."""
    number, folder = item
    (Path(folder) / f"{number}-{os.getpid()}").touch()
    time.sleep(0.3)
    return number * number


def end_process(item: int) -> int:
    if item == 2:
        os._exit(1)
    return item


def refuse(item: int) -> int:
    raise ValueError(f"no {item}")


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address="127.0.0.1:0",
        protocol="tcp",
    ) as running:
        yield running.scheduler_address


def test_same_as_here(cluster):
    """The cluster gives what this process gives; nothing runs here."""
    items = ["a", "bc", "", "def"]
    engine = jobs.ClusterEngine(cluster)
    assert cluster.startswith("tcp://")
    assert sorted(engine.run(len, items)) == sorted(jobs.LocalEngine().run(len, items))
    assert os.getpid() not in dict(engine.run(_own_process, [1, 2])).values()
    assert list(engine.run(len, [])) == []


def _own_process(_: int) -> int:
    return os.getpid()


def test_worker_killed_in_the_middle(cluster, tmp_path):
    """A worker is killed while it works: its jobs run on the other, and all results are there."""
    items = [(number, str(tmp_path)) for number in range(8)]
    results = jobs.ClusterEngine(cluster).run(square_slowly, items)
    found = dict([next(results)])
    started = {int(mark.name.split("-")[1]) for mark in tmp_path.iterdir()}
    os.kill(started.pop(), signal.SIGKILL)
    found |= dict(results)
    assert found == {number: number * number for number in range(8)}


def test_job_that_kills_every_worker(cluster):
    """A job that ends each worker it is given to is reported; the others have results."""
    found = dict(jobs.ClusterEngine(cluster).run(end_process, [1, 2, 3]))
    assert isinstance(found.pop(1), jobs.WorkerDiedError)
    assert found == {0: 1, 2: 3}


def end_process_amid(item: int) -> int:
    time.sleep(0.2 if item == 2 else 1.0)
    return end_process(item)


def test_jobs_beside_one_that_kills_are_not_blamed():
    """The one worker does both at once: the innocent job never gets to its end beside the other."""
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 0}),
        LocalCluster(
            n_workers=1, threads_per_worker=2, dashboard_address="127.0.0.1:0", protocol="tcp"
        ) as cluster,
    ):
        found = dict(jobs.ClusterEngine(cluster.scheduler_address).run(end_process_amid, [2, 5]))
    assert isinstance(found[0], jobs.WorkerDiedError)
    assert found[1] == 5


def test_failure_reaches_the_caller(cluster):
    """An exception that a job does not return is not swallowed."""
    with pytest.raises(ValueError, match="no 1"):
        list(jobs.ClusterEngine(cluster).run(refuse, [1]))


def test_nobody_answers(monkeypatch):
    """An address where nobody listens is one line with what to do."""
    monkeypatch.setattr("primecoat.jobs.cluster._SECONDS_TO_ANSWER", 0.5)
    with pytest.raises(UseError, match="No Dask scheduler answers at tcp:"):
        list(jobs.ClusterEngine("tcp://127.0.0.1:1").run(len, ["a"]))


def test_other_versions(cluster, monkeypatch):
    """Workers with other versions are refused before anything runs there."""
    monkeypatch.setattr("primecoat.jobs.cluster.version", lambda name: f"{name} of another time")
    with pytest.raises(UseError, match=r"has other versions: .*here numpy of another time"):
        list(jobs.ClusterEngine(cluster).run(len, ["a"]))


def test_cluster_of_one_run():
    """``local`` starts workers for one run and ends them with it."""
    pids = set(dict(jobs.ClusterEngine(jobs.LOCAL).run(_own_process, list(range(6)))).values())
    assert os.getpid() not in pids
    deadline = time.monotonic() + 20
    while any(_alive(pid) for pid in pids) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not any(_alive(pid) for pid in pids)


def test_not_installed():
    """Without Dask, one line says how to get it; nothing else of Primecoat needs it."""
    code = (
        "import sys; sys.modules['distributed'] = None\n"
        "from primecoat import jobs\n"
        "from primecoat.errors import UseError\n"
        "try: list(jobs.ClusterEngine('local').run(len, ['a']))\n"
        "except UseError as error: print(error)\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert f"{shlex.quote(sys.executable)} -m pip install '.[farm]'" in said.stdout


def _alive(pid: object) -> bool:
    assert isinstance(pid, int)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True
