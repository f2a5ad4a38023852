"""The proof at the desk by the keyboard: traced, stopped, read, kept for the next window."""

from __future__ import annotations

import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from playwright.sync_api import Browser, Page, Route, expect
from tests.desk.browser.opened import came, late, opened
from tests.desk.browser.test_access import violations
from tests.desk.browser.test_sheets import pictures_folder

TRACED = 300_000
"""Milliseconds until a proof is traced at the latest, however busy the machine is."""


def trace(page: Page) -> None:
    """Ask for the smallest proof by the keyboard."""
    page.get_by_label("Size in pixels").focus()
    for key in ("Home", "Tab", "Home", "Tab"):
        page.keyboard.press(key)
    expect(page.get_by_role("button", name="Trace it", exact=True)).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("progressbar")).to_be_visible()


def have_traced(page: Page, address: str) -> None:
    """Open the sheet with a proof on it, whichever tests went before."""
    opened(page, address, "proof")
    if page.get_by_text("No proof of this state yet.").count():
        trace(page)
    page.get_by_role("heading", name="What the switch does").wait_for(timeout=TRACED)


@pytest.mark.open_data
def test_no_serious_violation_before_during_and_after(browser: Browser, small_desk: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    opened(page, small_desk, "proof")
    expect(page.get_by_text("No proof of this state yet.")).to_be_visible()
    wrong = {"before": violations(page)}
    with late(page, "**/api/proof", "POST"):
        trace(page)
        wrong["during"] = violations(page)
        expect(page.get_by_role("progressbar")).to_be_visible()
    page.get_by_role("heading", name="What the switch does").wait_for(timeout=TRACED)
    wrong["after"] = violations(page)
    context.close()
    assert not any(wrong.values()), wrong


def test_traced_by_the_keyboard_and_there_for_the_next_window(
    page: Page, small_desk: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    have_traced(page, small_desk)
    expect(page.get_by_text("160 × 90, 8 paths a pixel")).to_be_visible()
    expect(page.get_by_text("working space Rec.709")).to_be_visible()
    for image in page.locator(".trio img").all():
        expect(image).to_have_js_property("complete", value=True)
        expect(image).to_have_js_property("naturalWidth", value=160)
    folder = pictures_folder(tmp_path_factory)
    for theme in ("light", "dark"):
        page.evaluate("(to) => { document.documentElement.dataset.theme = to; }", theme)
        for width, height in ((1280, 720), (1920, 1080)):
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
            page.screenshot(path=folder / f"proof-traced-{theme}-{width}.png", full_page=True)
    page.get_by_role("button", name="where it changes").press("Enter")
    expect(page.locator(".trio figure")).to_have_count(1)
    page.reload()
    page.get_by_role("heading", name="Why it changes").wait_for()
    expect(page.get_by_label("Size in pixels")).to_have_value("160x90")
    expect(page.get_by_label("Paths a pixel")).to_have_value("8")


def test_a_stopped_proof_is_no_fault_and_the_one_before_stays(
    refused_page: Page, small_desk: str
) -> None:
    page = refused_page
    have_traced(page, small_desk)
    page.get_by_label("Paths a pixel").select_option("128")
    stop = page.get_by_role("button", name="Stop it")
    other = page.context.new_page()
    opened(other, small_desk, "proof")
    unsent: list[Route] = []

    def keep(route: Route) -> None:
        if route.request.method == "POST":
            unsent.append(route)
        else:
            route.fallback()

    with late(page, "**/api/proof"):
        page.route("**/api/proof", keep)
        page.get_by_role("button", name="Trace it anew").click()
        came(page, unsent)
        expect(stop).to_be_disabled()  # a stop that comes before the order would stop nothing
        unsent[0].continue_()
        expect(other.get_by_role("progressbar")).to_be_visible()
        stop.click()
        expect(page.get_by_text("It stops as soon as")).to_be_visible()
    said = page.locator("#notices")
    expect(said).to_contain_text("The work was stopped.", timeout=TRACED)
    # a window that only looked on knows that it is over
    expect(other.get_by_role("button", name="Trace it", exact=True)).to_be_enabled()
    expect(other.get_by_role("progressbar")).to_be_hidden()
    expect(said).not_to_contain_text("Not done")
    expect(said).not_to_contain_text("Fetch the present state")
    expect(page.get_by_role("heading", name="What the switch does")).to_be_visible()
