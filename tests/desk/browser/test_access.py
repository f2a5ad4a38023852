"""No serious violation of WCAG 2.2 A and AA that axe-core (Deque, MPL-2.0) can find."""

from __future__ import annotations

import tarfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from tests.desk.browser.opened import opened
from tests.desk.browser.test_sheets import SHEETS, rows
from tests.open_data.npm import Package, unpacked

AXE = Package(
    name="axe-core@4.14.1",
    archive="axe-core-4.14.1.tgz",
    sha256="e6b0ce02b84d892e2e33e403485e7f3d6c29e2be6df65daf44d89ba564139745",
)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@cache
def axe_script() -> str:
    """Return axe-core as one script."""

    def unpack(archive: tarfile.TarFile, folder: Path) -> None:
        member = archive.extractfile("package/axe.min.js")
        assert member is not None
        (folder / "axe.min.js").write_bytes(member.read())

    return (unpacked(AXE, unpack) / "axe.min.js").read_text(encoding="utf-8")


def grave(found: dict[str, Any]) -> list[str]:
    """Return the serious and critical violations, each with what it was met on."""
    told = []
    for violation in found["violations"]:
        if violation["impact"] in ("serious", "critical"):
            where = [f"{node['html'][:160]} {node['any'][:1]}" for node in violation["nodes"][:3]]
            told.append(f"{violation['id']}: {violation['help']}: {where}")
    return told


def violations(page: Page) -> dict[str, list[str]]:
    """Return the grave violations of what a page shows now, by theme."""
    page.evaluate(axe_script())
    wrong = {}
    for theme, only in (("light", TAGS), ("dark", ["color-contrast"])):
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
        found = page.evaluate(
            "(only) => axe.run({ runOnly: only, resultTypes: ['violations'] })", only
        )
        assert found["passes"]
        if grave(found):
            wrong[theme] = grave(found)
    return wrong


@pytest.mark.open_data
def test_no_serious_violation(browser: Browser, shown_desk: str) -> None:
    one = rows(shown_desk)["bowl_normal.png"]
    # the policy of the page lets no script in from elsewhere; it is lifted for axe alone
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    wrong = {}
    for sheet in SHEETS:
        opened(page, shown_desk, f"picture/{one}" if sheet == "picture" else sheet)
        if sheet == "change":
            page.get_by_role("button", name="Draw up the plan").click()
            page.get_by_role("button", name="Apply").wait_for()
        if sheet == "pictures":
            page.keyboard.press("Space")
        page.wait_for_timeout(150)
        if found := violations(page):
            wrong[sheet] = found
    context.close()
    assert not wrong
