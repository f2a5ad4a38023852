"""A short run of the fuzzer, and every input that ever brought a reader down."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.fuzz.mutate import fuzz
from tests.fuzz.run import ROOT
from tests.fuzz.slow import SLOW_SECONDS
from tests.fuzz.targets import TARGETS, found_inputs, target_of


@pytest.mark.parametrize("name", TARGETS)
def test_changed_bytes(name: str) -> None:
    """A seventh of a second for each reader; `python -m tests.fuzz.run` for longer."""
    tally = fuzz(TARGETS[name], seed=1, seconds=0.15)
    assert not tally.fault, f"{tally.fault}: {tally.data!r}"
    assert tally.executions > 0


@pytest.mark.parametrize("name", TARGETS)
def test_sound_bytes_are_read(name: str) -> None:
    """What the fuzzer begins with is read without any error, so that it gets far."""
    for seed in TARGETS[name].seeds:
        TARGETS[name].read(seed)


@pytest.mark.parametrize("path", found_inputs(), ids=lambda path: path.name)
def test_what_once_broke_a_reader(path: Path) -> None:
    """It is read or refused now, at once."""
    began = time.process_time()
    target_of(path)(path.read_bytes())
    assert time.process_time() - began < SLOW_SECONDS


def test_no_reader_is_imported_before_fuzzing_can_be_guided() -> None:
    """What is imported before atheris instruments it is fuzzed blindly, and nothing says so."""
    code = "import sys, tests.fuzz.run; print([m for m in sys.modules if 'primecoat' in m])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
