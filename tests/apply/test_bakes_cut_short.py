"""Bakes that are killed or interrupted leave nothing half-written, and go on where they stopped."""

from __future__ import annotations

import os
import random
import signal
from pathlib import Path

import pytest
from tests.apply import killed_bakes, kiln
from tests.plan import small as s

from primecoat import workflow
from primecoat.files import ASIDE_PREFIX
from primecoat.processes import process_is_alive

SIZE = 640
"""Pictures large enough to be met while they are baked."""


def test_killed_at_random_moments(tmp_path: Path) -> None:
    """Amid the bakes; ``python -m tests.apply.killed_bakes`` kills twenty times, at any moment."""
    whole = killed_bakes.undisturbed(tmp_path, 5, 512, tried=(1,))
    moments = random.Random(4)
    for workers in (1, 2):
        strike = killed_bakes.once_stored(moments.randint(1, 3), moments.uniform(0, 0.05))
        told = killed_bakes.kill_once(whole, tmp_path / f"kill{workers}", workers, strike)
        assert "nothing to do" in told  # nothing of the scene was begun: the bakes wait


@pytest.mark.parametrize("workers", ["1", "2"])
def test_interrupted_by_the_terminal(tmp_path: Path, workers: str) -> None:
    """Ctrl-C reaches every process of the group: exit 130, one line, nothing half-written."""
    made, file = kiln.planned(kiln.tableware(tmp_path / "tea", 6, SIZE))
    before = s.content(made.root)
    child = kiln.primecoat("apply", file, "--workers", workers)
    store = made.root / ".primecoat" / "baked"
    kiln.wait_for(lambda: bool(killed_bakes.stored(store)) or child.poll() is not None)
    assert child.poll() is None
    os.killpg(child.pid, signal.SIGINT)
    out, said = child.communicate(timeout=60)
    assert (child.returncode, out) == (130, "")
    assert said.splitlines()[-1].startswith("primecoat: interrupted")
    assert len(said.splitlines()) == 1, said
    assert s.content(made.root) == before
    assert not list(store.glob(f"{ASIDE_PREFIX}*"))
    assert not (made.root / ".primecoat" / "lock").exists()
    kept = killed_bakes.stored(store)
    assert 1 <= len(kept) < 6
    times = {entry: entry.stat().st_mtime_ns for entry in kept}

    def kept_as_they_are(done: int, *_: int) -> None:
        if done == 6:
            assert {entry: entry.stat().st_mtime_ns for entry in kept} == times

    assert len(workflow.apply(made, baking=kept_as_they_are)) == 7
    assert kiln.left_over(made.root) == []


def test_workers_are_gone_after_an_interrupt(tmp_path: Path) -> None:
    """An interrupt of the first process alone ends its workers too."""
    made, file = kiln.planned(kiln.tableware(tmp_path / "tea", 4, SIZE))
    child = kiln.primecoat("apply", file, "--workers", "2")
    store = made.root / ".primecoat" / "baked"
    kiln.wait_for(lambda: bool(at_work(store)) or child.poll() is not None)
    workers = at_work(store)
    assert workers
    assert child.pid not in workers
    os.kill(child.pid, signal.SIGINT)
    child.communicate(timeout=60)
    assert child.returncode == 130
    kiln.wait_for(lambda: not any(map(process_is_alive, workers)))


def at_work(store: Path) -> list[int]:
    """Return the processes that are baking, by the names of their unfinished work."""
    return [int(f.name.rsplit("-", 2)[1]) for f in store.glob(f"{ASIDE_PREFIX}*")]
