"""Bakes on a Dask cluster: two workers over TCP, one of them killed in the middle."""

from __future__ import annotations

import os
import signal
from dataclasses import replace
from pathlib import Path

import pytest
from distributed import LocalCluster
from tests.apply import kiln
from tests.apply.killed_bakes import copied
from tests.plan import small as s

from primecoat import jobs, workflow
from primecoat.bake.store import store_of
from primecoat.files import ASIDE_PREFIX
from primecoat.inventory.cache import MeasureCache


@pytest.fixture(scope="module")
def address():
    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
        protocol="tcp",
    ) as cluster:
        assert cluster.scheduler_address.startswith("tcp://")
        yield cluster.scheduler_address


def test_a_worker_killed_in_the_middle(tmp_path: Path, address: str) -> None:
    """The bake completes; files and figures are those of the local engine; nothing is left."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 8, 1024))
    local, _ = copied(made, tmp_path / "local")
    alone = workflow.apply(local, workers=1)
    killed: list[int] = []

    def kill_one(done: int, *_: int) -> None:
        names = [f.name for f in store_of(made.root).glob(f"{ASIDE_PREFIX}*")]
        workers = [int(name.rsplit("-", 2)[1]) for name in names]
        if not killed and workers:
            assert os.getpid() not in workers
            os.kill(workers[0], signal.SIGKILL)
            killed.append(workers[0])
            assert done < 8

    done = workflow.apply(made, cluster=address, baking=kill_one)
    assert killed
    assert [(d.operation, d.baked.sha256, d.baked.figures) for d in done if d.baked] == [
        (d.operation, d.baked.sha256, d.baked.figures) for d in alone if d.baked
    ]
    assert kiln.baked(made.root) == kiln.baked(local.root)
    assert s.content(made.root) == s.content(local.root)
    assert kiln.left_over(made.root) == []


def test_a_failure_on_the_cluster_is_listed(tmp_path: Path, address: str) -> None:
    """A picture that cannot be baked there comes back with path, reason and remedy."""
    made, _ = kiln.planned(kiln.tableware(tmp_path / "tea", 3))
    (made.root / "dish1.png").write_bytes(b"no picture")
    share = workflow.bake_share(made, jobs.WHOLE, cluster=address)
    assert [(f.path, f.remedy) for f in share.failed] == [("dish1.png", "Make a new plan.")]
    assert len(share.done) == 2


def test_a_survey_on_the_cluster_is_that_of_one_process(tmp_path: Path, address: str) -> None:
    """Measures made far away are those made here, and are kept in the same cache."""
    scene = kiln.tableware(tmp_path / "tea", 3, 64)
    there = workflow.survey(scene, cluster=address)
    known = MeasureCache(scene.parent)
    assert all(known.get(file) for image in there.readings.images for file in image.record.files)
    (scene.parent / ".primecoat" / "measures.jsonl").unlink()
    here = workflow.survey(scene, workers=1)
    assert there == replace(here)
