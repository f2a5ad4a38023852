"""What tests of several folders share: the demo scene, written once, and one Chromium."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright
from tests.desk.browser.opened import PATIENCE, chromium

from primecoat.demo import write_demo


@pytest.fixture(scope="session")
def written_faulted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the demo scene with its faults, as it was written; work in a copy of it."""
    return _written(tmp_path_factory, clean=False)


@pytest.fixture(scope="session")
def written_clean(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return its faultless twin, as it was written; work in a copy of it."""
    return _written(tmp_path_factory, clean=True)


def _written(tmp_path_factory: pytest.TempPathFactory, *, clean: bool) -> Path:
    """Return the one demo of all processes of a run; that of the first to finish counts."""
    base = tmp_path_factory.getbasetemp()
    home = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    shared = home / f"demo-{'clean' if clean else 'faulted'}"
    if not shared.exists():
        made = tmp_path_factory.mktemp("demo") / "tea"
        write_demo(made, clean=clean)
        try:
            made.rename(shared)
        except OSError:  # another process was quicker
            assert shared.is_dir()
    return shared


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return Chromium without a window; a process can have Playwright once only."""
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as playwright:
        found = chromium(playwright)
        yield found
        found.close()
