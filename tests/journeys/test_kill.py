"""Real processes killed at random moments: a few here; `python -m tests.journeys.kill` for many."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="starts processes by a fork")
def test_killed_at_random_moments() -> None:
    """Nothing lost, closed, stuck or untrue; enough of the kills came while the work was done."""
    pytest.importorskip("pxr")
    done = subprocess.run(
        [sys.executable, "-m", "tests.journeys.kill", "--times", "6", "--inside", "4", "--json"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    figures = json.loads(done.stdout)
    print(figures)
    assert set(figures["faults"].values()) == {0}
    assert len(figures["verbs"]) == 6
    assert figures["inside open runs"] >= 4
