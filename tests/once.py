"""What is made once a run, though the tests of a run are shared out among processes."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest


def once_a_run(
    tmp_path_factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]
) -> Path:
    """Return the one folder of a name that all processes of a run have; work in a copy of it.

    The first process that asks makes it, ``make`` given a folder that is not there yet. Of several
    that make it at once, what the first to finish made counts.
    """
    base = tmp_path_factory.getbasetemp()
    home = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    shared = home / f"once-{name}"
    if not shared.exists():
        made = tmp_path_factory.mktemp("once") / "tea"
        make(made)
        try:
            made.rename(shared)
        except OSError:  # another process was quicker
            assert shared.is_dir()
    return shared
