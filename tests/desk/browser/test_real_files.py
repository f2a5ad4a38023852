"""Scenes that nobody here made are shown: a binary glTF and a packed USD, pictures inside them."""

from __future__ import annotations

import shutil
import tarfile
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Page
from tests.desk.browser.opened import desk, opened
from tests.open_data.glb import glb_pictures
from tests.open_data.npm import cached_archive
from tests.open_data.pictures import SOURCES, package_folder
from tests.open_data.stages import stage_folder

pytestmark = pytest.mark.open_data

PACKAGE = "@webxr-input-profiles/assets"


def shows(page: Page, scene: Path, pictures: int) -> None:
    """Open a scene, and one of its pictures; each must have been printed."""
    with desk(scene) as address:
        opened(page, address, "pictures")
        page.get_by_text(f"{pictures} picture", exact=False).first.wait_for()
        for number in range(pictures):
            page.locator(".thumb:not([hidden])").nth(number).wait_for()
        assert not page.locator(".no-thumb").count()
        page.locator("[data-opens]").first.click()
        page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
        page.get_by_role("img", name="Histogram of").first.wait_for()


def test_pictures_of_a_binary_gltf(page: Page, tmp_path: Path) -> None:
    package_folder(PACKAGE)  # fetches the archive, or says why not
    scene = tmp_path / "hand.glb"
    with tarfile.open(cached_archive(SOURCES[PACKAGE].package)) as members:
        (name,) = (n for n in members.getnames() if n.endswith("hp-mixed-reality/right.glb"))
        stream = members.extractfile(name)
        assert stream is not None
        scene.write_bytes(stream.read())
    count = len(list(glb_pictures(scene.read_bytes())))
    assert count > 0
    shows(page, scene, count)


def test_pictures_of_a_packed_usd(page: Page, tmp_path: Path) -> None:
    found = stage_folder("ansys-tools-usdviewer").rglob("robot_walk_idle.usdz")
    scene = Path(shutil.copy(next(found), tmp_path / "robot.usdz"))
    with zipfile.ZipFile(scene) as packed:  # a USDZ package is a zip archive: its specification
        names = [n for n in packed.namelist() if n.lower().endswith((".png", ".jpg", ".jpeg"))]
    assert names
    shows(page, scene, len(names))
