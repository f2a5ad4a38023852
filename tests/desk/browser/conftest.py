"""What the browser tests share: one demo scene on an open desk, and a page to look at it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import pytest
from playwright.sync_api import Browser, Page
from tests.desk.browser.opened import PATIENCE, Complaints, desk


@pytest.fixture(scope="session")
def tea_set(measured_faulted: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the demo scene, never changed."""
    return Path(shutil.copytree(measured_faulted, tmp_path_factory.mktemp("demo") / "tea set"))


@pytest.fixture(scope="session")
def renders(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Return an old and a new render of one ramp, the new one 0.25 stops brighter."""
    folder = tmp_path_factory.mktemp("renders")
    column, row = np.meshgrid(np.linspace(-6, 4, 320), np.linspace(0.4, 1.0, 180))
    ramp = 0.18 * np.exp2(column)[..., None] * np.stack([np.ones_like(row), row, row**2], -1)
    paths = (folder / "old.exr", folder / "new.exr")
    for path, gain in zip(paths, (1.0, 2**0.25), strict=True):
        spec = oiio.ImageSpec(320, 180, 3, oiio.HALF)
        spec["colorInteropID"] = "lin_ap1_scene"
        made = oiio.ImageBuf(spec)
        assert made.set_pixels(oiio.ROI(), np.ascontiguousarray(ramp * gain, np.float32))
        assert made.write(str(path))
    return paths


@pytest.fixture(scope="session")
def shown_desk(tea_set: Path, renders: tuple[Path, Path]) -> Iterator[str]:
    """Return the address of a desk whose scene no test changes."""
    old, new = renders
    spaces = ("--in-a", "lin_ap1_scene", "--in-b", "lin_ap1_scene")
    with desk(tea_set / "tea.gltf", "--old", str(old), "--new", str(new), *spaces) as address:
        yield address


@pytest.fixture(scope="session")
def small_desk(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of a desk on a small scene, without renders; proofs are kept there."""
    folder = Path(shutil.copytree(kept_scene, tmp_path_factory.mktemp("small") / "tea"))
    with desk(folder / "tea.gltf") as address:
        yield address


@pytest.fixture
def own_tea_set(tea_set: Path, tmp_path: Path) -> Path:
    """Return a copy of the demo scene that a test may change."""
    return Path(shutil.copytree(tea_set, tmp_path / "tea set"))


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """Return a page in a context of its own; any complaint of the browser is a failure."""
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    context.set_default_timeout(PATIENCE)
    complaints = Complaints()
    yield complaints.watch(context.new_page())
    context.close()
    assert not complaints, "\n".join(complaints)


@pytest.fixture
def refused_page(browser: Browser) -> Iterator[Page]:
    """Return a page that will be refused something; any other complaint is a failure."""
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    context.set_default_timeout(PATIENCE)
    complaints = Complaints()
    yield complaints.watch(context.new_page(), refusals=False)
    context.close()
    assert not complaints, "\n".join(complaints)
