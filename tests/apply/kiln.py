"""Scenes with pictures to bake, and what tests look at once they are baked."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from tests.plan import small as s

from primecoat.documents import dumps
from primecoat.files import ASIDE_PREFIX, sha256_of
from primecoat.images.oiio import write_pixels
from primecoat.plan.plan import Plan

ROOT = Path(__file__).parents[2]


def tableware(folder: Path, count: int, size: int = 16) -> Path:
    """Write a sheet that uses so many 16-bit pictures of random colours; return it."""
    folder.mkdir(parents=True, exist_ok=True)
    rows = []
    for number in range(count):
        write_dish(folder / f"dish{number}.png", number, size)
        rows.append(f"dish{number}.png,a,base_color,rgb,{s.SRGB},")
    return s.sheet(folder / "tea.csv", *rows)


def write_dish(path: Path, seed: int, size: int) -> None:
    """Write a square 16-bit picture of random colours."""
    codes = np.random.default_rng(seed).integers(0, 65536, (size, size, 3), np.uint16)
    write_pixels(path, codes)


def wait_for(happens: Callable[[], bool]) -> None:
    """Wait until something happens, for a minute at most."""
    deadline = time.monotonic() + 60
    while not happens() and time.monotonic() < deadline:
        time.sleep(0.005)
    assert happens()


def planned(scene: Path) -> tuple[Plan, Path]:
    """Return the plan to bake a scene, and the file beside the folder that holds it."""
    made = s.plan(scene, "bake")
    file = scene.parent.parent / f"{scene.parent.name}.json"
    file.write_text(dumps(made.as_document({})), encoding="utf-8")
    return made, file


def baked(folder: Path) -> dict[str, str]:
    """Return the baked pictures of a scene, each with the hash of its bytes."""
    return {path.name: sha256_of(path) for path in sorted(folder.glob(f"*_{s.AP1}.exr"))}


def left_over(folder: Path) -> list[str]:
    """Return what is unfinished under a folder, and the store if it is there."""
    state = folder / ".primecoat"
    unfinished = [str(path) for path in folder.rglob(f"{ASIDE_PREFIX}*")]
    return unfinished + [str(path) for path in (state / "baked", state / "lock") if path.exists()]


def primecoat(*words: str | Path, **options: Any) -> subprocess.Popen[str]:
    """Start the command line in a process group of its own."""
    usual: dict[str, Any] = {
        "stdout": subprocess.PIPE,
        "stderr": subprocess.PIPE,
        "env": {**os.environ, "PYTHONPATH": str(ROOT / "src")},
    }
    return subprocess.Popen(
        [sys.executable, "-m", "primecoat", *map(str, words)],
        text=True,
        start_new_session=True,
        **(usual | options),
    )
