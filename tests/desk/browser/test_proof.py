"""The proof at the desk by the keyboard: traced, read, kept for the next window."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.opened import desk, opened
from tests.desk.browser.test_access import TAGS, axe_script, grave


@pytest.fixture(scope="module")
def proof_desk(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of a desk on a small scene of its own."""
    folder = tmp_path_factory.mktemp("proof") / "tea"
    shutil.copytree(kept_scene, folder)
    with desk(folder / "tea.gltf") as address:
        yield address


def traced(page: Page, address: str) -> None:
    """Open the sheet; trace the smallest proof by the keyboard if there is none."""
    opened(page, address, "proof")
    if not page.get_by_role("heading", name="What the switch does").count():
        page.get_by_label("Size in pixels").focus()
        page.keyboard.press("Home")
        page.keyboard.press("Tab")
        page.keyboard.press("Home")
        page.keyboard.press("Tab")
        expect(page.get_by_role("button", name="Trace it", exact=True)).to_be_focused()
        page.keyboard.press("Enter")
        expect(page.get_by_role("progressbar")).to_be_visible()
    page.get_by_role("heading", name="What the switch does").wait_for(timeout=60_000)


def test_traced_by_the_keyboard_and_there_for_the_next_window(page: Page, proof_desk: str) -> None:
    traced(page, proof_desk)
    expect(page.get_by_text("160 × 90, 8 paths a pixel")).to_be_visible()
    expect(page.get_by_text("working space Rec.709")).to_be_visible()
    for image in page.locator(".trio img").all():
        expect(image).to_have_js_property("complete", value=True)
        expect(image).to_have_js_property("naturalWidth", value=160)
    page.get_by_role("button", name="where it changes").press("Enter")
    expect(page.locator(".trio figure")).to_have_count(1)
    page.reload()
    page.get_by_role("heading", name="Why it changes").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    named = os.environ.get("PRIMECOAT_TEST_PICTURES")
    if named:
        page.screenshot(path=Path(named) / "proof-light-traced.png", full_page=True)


@pytest.mark.open_data
def test_traced_without_a_serious_violation(browser: Browser, proof_desk: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    traced(page, proof_desk)
    page.evaluate(axe_script())
    for theme in ("light", "dark"):
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
        found = page.evaluate(
            "(only) => axe.run({ runOnly: only, resultTypes: ['violations'] })", TAGS
        )
        assert found["passes"]
        assert not grave(found)
    context.close()
