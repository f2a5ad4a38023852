"""Photograph the pages about the demo scene for the documentation: the report, three desk sheets.

The pictures go into ``docs/pictures``.

Needs Playwright and Debian's Chromium: ``python tools/write_page_pictures.py``.
"""

from __future__ import annotations

import io
import json
import shutil
import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
SIZE = {"width": 1280, "height": 720}


def write_page_pictures() -> None:
    """Write all of them anew."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        demo = Path(folder) / "tea"
        primecoat = [sys.executable, "-m", "primecoat"]
        subprocess.run([*primecoat, "demo", str(demo)], check=True, stdout=subprocess.DEVNULL)
        report = Path(folder) / "report.html"
        told = [*primecoat, "report", str(demo), "--out", str(report)]
        subprocess.run(told, check=False, stdout=subprocess.DEVNULL)  # 1: the demo has faults
        command = [*primecoat, "desk", str(demo / "tea.gltf"), "--no-open", "--json"]
        desk = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            address = _address(desk)
            chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"))
            page = chromium.new_page(viewport=SIZE)  # type: ignore[arg-type]
            page.goto(report.as_uri())
            _keep(page, "report")
            page.goto(f"{address}#/scene")
            page.locator(".effect").first.wait_for()
            _keep(page, "desk-scene")
            page.goto(f"{address}?1#/picture/{_id(address, 'bowl_color.png')}")
            page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
            _keep(page, "desk-picture")
            page.goto(f"{address}?2#/change")
            page.get_by_label("Act on likely").check()
            page.get_by_role("button", name="Draw up the plan").click()
            page.get_by_role("button", name="Dry run").wait_for()
            _keep(page, "desk-change")
            chromium.close()
        finally:
            desk.terminate()
            desk.wait(20)


def _address(desk: subprocess.Popen[str]) -> str:
    assert desk.stdout is not None
    said = ""
    for line in desk.stdout:
        said += line
        if line.rstrip() == "}":
            break
    return str(json.loads(said)["address"])


def _id(address: str, name: str) -> str:
    with urllib.request.urlopen(f"{address}api/images?count=500") as answer:
        rows = json.load(answer)["rows"]
    return next(str(row["id"]) for row in rows if row["path"].endswith(name))


def _keep(page: Page, name: str) -> None:
    page.mouse.move(0, 0)
    page.wait_for_timeout(300)
    whole = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    whole.quantize(256).save(PICTURES / f"{name}.png", optimize=True)  # a fifth of the size


if __name__ == "__main__":
    write_page_pictures()
