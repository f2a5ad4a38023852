"""Kill an apply at random moments, go on, and compare with an undisturbed run.

``python -m tests.apply.killed_bakes [--times 20] [--seed 0]`` prints a line for each kill. Moments
are spread over the whole of a run, its start-up among it; one worker and two by turns.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tests.apply import kiln

from primecoat import workflow
from primecoat.documents import dumps
from primecoat.files import ASIDE_PREFIX, sha256_of
from primecoat.plan.plan import Plan

PICTURES, SIZE = 8, 1280

Strike = Callable[[subprocess.Popen[str], Path], None]
"""Waits for the moment to kill, given the process and the store it bakes into."""


@dataclass(frozen=True)
class Undisturbed:
    """A planned scene, what it becomes with nothing in the way, and how long that takes."""

    made: Plan
    baked: dict[str, str]
    primed: str
    seconds: dict[int, float]


def undisturbed(
    folder: Path, count: int = PICTURES, size: int = SIZE, tried: Sequence[int] = (1, 2)
) -> Undisturbed:
    """Make a scene and apply its plan in a copy, with one worker and with two."""
    made, _ = kiln.planned(kiln.tableware(folder / "tea", count, size))
    seconds = {}
    for workers in tried:
        world, file = copied(made, folder / f"whole{workers}")
        began = time.monotonic()
        child = kiln.primecoat("apply", file, "--workers", str(workers))
        _, said = child.communicate(timeout=300)
        assert child.returncode == 0, said
        seconds[workers] = time.monotonic() - began
    primed = sha256_of(world.root / "tea.primed.csv")
    return Undisturbed(made, kiln.baked(world.root), primed, seconds)


def copied(made: Plan, folder: Path) -> tuple[Plan, Path]:
    """Copy a planned scene; return the plan for the copy and the file that holds it."""
    shutil.copytree(made.root, folder, ignore=shutil.ignore_patterns(".primecoat"))
    plan = replace(made, root=folder, target=folder / made.target.name)
    file = folder.with_suffix(".json")
    file.write_text(dumps(plan.as_document({})), encoding="utf-8")
    return plan, file


def after_seconds(seconds: float) -> Strike:
    """Return what waits so long."""
    return lambda child, store: time.sleep(seconds)


def once_stored(count: int, seconds: float) -> Strike:
    """Return what waits until so many bakes are in the store, and then so long."""

    def wait(child: subprocess.Popen[str], store: Path) -> None:
        kiln.wait_for(lambda: len(stored(store)) >= count or child.poll() is not None)
        time.sleep(seconds)

    return wait


def stored(store: Path) -> list[Path]:
    """Return the finished bakes in a store."""
    return [e for e in store.glob("*") if not e.name.startswith(ASIDE_PREFIX)]


def kill_once(whole: Undisturbed, folder: Path, workers: int, strike: Strike) -> str:
    """Kill an apply and all its workers at a moment; hold what must be; return words."""
    world, file = copied(whole.made, folder)
    began = time.monotonic()
    child = kiln.primecoat("apply", file, "--workers", str(workers))
    strike(child, world.root / ".primecoat" / "baked")
    after = time.monotonic() - began
    finished = child.poll() is not None
    with contextlib.suppress(ProcessLookupError):  # all are gone already
        os.killpg(child.pid, signal.SIGKILL)
    child.communicate()
    count = nothing_is_half_written(whole, world.root)
    outcome = workflow.recover(world.target).outcome if not finished else "was done"
    if outcome != "was done":
        again = kiln.primecoat("apply", file, "--workers", str(workers))
        _, said = again.communicate(timeout=300)
        assert again.returncode == 0, said
    assert kiln.baked(world.root) == whole.baked
    assert sha256_of(world.root / "tea.primed.csv") == whole.primed
    left = kiln.left_over(world.root)
    assert not left, left
    return f"{workers} workers, {after:.2f} s: {count} of {len(whole.baked)} stored; {outcome}"


def nothing_is_half_written(whole: Undisturbed, folder: Path) -> int:
    """Hold that whatever has a final name is whole; return how many bakes the store has."""
    for name, sha256 in kiln.baked(folder).items():
        assert sha256 == whole.baked[name]
    primed = folder / "tea.primed.csv"
    assert not primed.exists() or sha256_of(primed) == whole.primed
    store = folder / ".primecoat" / "baked"
    entries = stored(store)
    for entry in entries:
        record = json.loads((entry / "record.json").read_text(encoding="utf-8"))
        assert sha256_of(entry / "picture.exr") == record["sha256"]
    return len(entries)


def main() -> None:
    """Kill as often as asked."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    moments = random.Random(asked.seed)
    with tempfile.TemporaryDirectory() as folder:
        whole = undisturbed(Path(folder))
        print(f"undisturbed: {whole.seconds}")
        for turn in range(asked.times):
            workers = 1 + turn % 2
            strike = after_seconds(moments.uniform(0, whole.seconds[workers]))
            print(kill_once(whole, Path(folder) / f"kill{turn}", workers, strike), flush=True)
    print(f"{asked.times} kills: nothing half-written, every run finished as if undisturbed")


if __name__ == "__main__":
    main()
