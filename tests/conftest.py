"""What tests of several folders share: the demo scene, written once, and one Chromium."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright
from tests.desk.browser.opened import PATIENCE, chromium
from tests.once import once_a_run

from primecoat import workflow
from primecoat.demo import write_demo


@pytest.fixture(scope="session")
def written_faulted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the demo scene with its faults, as it was written; work in a copy of it."""
    return once_a_run(tmp_path_factory, "faulted", write_demo)


@pytest.fixture(scope="session")
def written_clean(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return its faultless twin, as it was written; work in a copy of it."""
    return once_a_run(tmp_path_factory, "clean", lambda folder: write_demo(folder, clean=True))


@pytest.fixture(scope="session")
def measured_faulted(tmp_path_factory: pytest.TempPathFactory, written_faulted: Path) -> Path:
    """Return the demo scene with all its pictures measured, as no copy of it need be again."""
    return _measured(tmp_path_factory, "measured-faulted", written_faulted)


@pytest.fixture(scope="session")
def measured_clean(tmp_path_factory: pytest.TempPathFactory, written_clean: Path) -> Path:
    """Return its faultless twin with all its pictures measured."""
    return _measured(tmp_path_factory, "measured-clean", written_clean)


def _measured(tmp_path_factory: pytest.TempPathFactory, name: str, written: Path) -> Path:
    def make(folder: Path) -> None:
        shutil.copytree(written, folder)
        workflow.survey(folder)

    return once_a_run(tmp_path_factory, name, make)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return Chromium without a window; a process can have Playwright once only."""
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as playwright:
        found = chromium(playwright)
        yield found
        found.close()
