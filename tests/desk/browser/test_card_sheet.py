"""The test card at the desk by the keyboard: written, a render of it read, another one refused."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.opened import PATIENCE, desk, opened
from tests.desk.browser.test_access import violations
from tests.desk.browser.test_sheets import pictures_folder
from tests.proof.test_card_page import PICTURE


@pytest.fixture(scope="module")
def card_desk(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of a desk on a small scene; a picture that is no card was named."""
    folder = Path(shutil.copytree(kept_scene, tmp_path_factory.mktemp("card") / "tea"))
    wrong = folder / "maps" / "cup.png"
    with desk(folder / "tea.gltf", "--card", str(PICTURE), "--card", str(wrong)) as address:
        yield address


def read(page: Page) -> None:
    """Read the render that is offered first."""
    page.get_by_role("button", name="Read it").press("Enter")
    page.get_by_role("heading", name="Each input").wait_for(timeout=PATIENCE)


def test_written_read_and_refused_by_the_keyboard(
    refused_page: Page, card_desk: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    page = refused_page
    opened(page, card_desk, "scene")
    page.keyboard.press("g")
    page.keyboard.press("t")
    expect(page.get_by_role("heading", name="Test card", exact=True)).to_be_visible()
    place = Path(page.locator(".new-folder").inner_text())
    page.get_by_role("button", name="Write the card").press("Enter")
    expect(page.get_by_text("Written:")).to_be_visible()
    assert (place / "card.json").is_file()
    expect(page.locator(".new-folder")).to_contain_text("test-card_2")
    shutil.copy(PICTURE, place / "room two.png")
    page.get_by_role("button", name="Look again").press("Enter")
    renders = page.locator("form select").first
    expect(renders.locator("option")).to_have_count(3)
    read(page)
    expect(page.get_by_role("heading", name="test-card.png")).to_be_focused()
    expect(page.locator(".lead")).to_have_text("4 of 15 inputs not read as made.")
    expect(page.locator(".card-inputs tbody tr.wrong")).to_have_count(4)
    expect(page.locator(".card-print .patch.wrong")).to_have_count(4)
    expect(page.locator(".card-print img")).to_have_js_property("complete", value=True)
    assert page.locator(".card-print img").evaluate("(image) => image.naturalWidth") > 500
    folder = pictures_folder(tmp_path_factory)
    for theme in ("light", "dark"):
        page.evaluate("(to) => { document.documentElement.dataset.theme = to; }", theme)
        for width, height in ((1280, 720), (1920, 1080)):
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
            page.screenshot(path=folder / f"card-read-{theme}-{width}.png")
    page.get_by_label("View baked into it").select_option("none")
    page.get_by_role("button", name="Read it").press("Enter")
    expect(page.locator(".facts")).to_contain_text("nothing tried explains the grey wedge")
    renders.select_option(label="cup.png, in maps")
    page.get_by_role("button", name="Read it").press("Enter")
    refused = page.get_by_role("alert")
    expect(refused).to_contain_text("There is no test card in cup.png")
    expect(refused).to_contain_text("Render the card through its own camera")
    expect(refused).to_be_focused()
    expect(page.get_by_role("button", name="Read it")).to_be_enabled()


@pytest.mark.open_data
def test_no_serious_violation_once_a_render_is_read(browser: Browser, card_desk: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    opened(page, card_desk, "card")
    read(page)
    found = violations(page)
    context.close()
    assert not found
