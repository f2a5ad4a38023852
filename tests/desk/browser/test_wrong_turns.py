"""Addresses typed wrongly, fields left empty, answers that come late, a browser that refuses."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, Route, expect
from tests.desk.browser.opened import opened


@pytest.mark.parametrize("name", ["constructor", "__proto__", "toString", "nowhere"])
def test_an_unknown_sheet_is_the_scene(page: Page, shown_desk: str, name: str) -> None:
    opened(page, shown_desk, name)
    expect(page.locator("#bench h1")).to_have_text("tea.gltf")
    expect(page.get_by_role("link", name="Scene", exact=True)).to_have_attribute(
        "aria-current", "page"
    )


@pytest.mark.parametrize("id_", ["", "none", "%E0%A4%A", "a/b"])
def test_an_unknown_picture_shows_the_way_back(
    refused_page: Page, shown_desk: str, id_: str
) -> None:
    opened(refused_page, shown_desk, f"picture/{id_}")
    expect(refused_page.locator("#bench")).to_contain_text("no such picture")
    refused_page.get_by_role("link", name="Back to the scene").click()
    expect(refused_page.locator("#bench h1")).to_have_text("tea.gltf")


def test_a_swatch_that_is_not_said_is_asked_for(refused_page: Page, shown_desk: str) -> None:
    page = refused_page
    opened(page, shown_desk, "swatch")
    page.locator(".big-chip").wait_for()
    colour = page.get_by_label("Colour:")
    colour.fill("")
    page.get_by_role("button", name="Look it up").click()
    assert page.evaluate("document.querySelector('[data-words]:invalid') !== null")
    expect(page.locator(".big-chip")).to_be_visible()  # nothing was asked
    colour.fill("0.2,0.1,0.05")
    page.get_by_role("button", name="Look it up").click()
    expect(page.get_by_role("alert")).to_contain_text("choose it under “Given in”")


def test_the_newest_colour_stays_though_an_older_answer_comes_later(
    page: Page, shown_desk: str
) -> None:
    opened(page, shown_desk, "swatch")
    page.locator(".big-chip").wait_for()
    late: list[Route] = []
    page.route("**/api/swatch?colour=%23111111*", lambda route: late.append(route))
    colour, press = page.get_by_label("Colour:"), page.get_by_role("button", name="Look it up")
    colour.fill("#111111")
    with page.expect_request("**/api/swatch?*"):
        press.click()
    colour.fill("#eeeeee")
    press.click()
    row = page.locator("tr", has_text="srgb_rec709_scene").first
    expect(row).to_contain_text("#eeeeee")
    with page.expect_response("**/api/swatch?colour=%23111111*"):
        late[0].continue_()
    page.wait_for_timeout(100)
    expect(row).to_contain_text("#eeeeee")


def test_numbers_are_shown_where_the_browser_does_not_copy(page: Page, shown_desk: str) -> None:
    opened(page, shown_desk, "swatch")
    page.evaluate(
        """() => { navigator.clipboard.writeText =
             () => Promise.reject(new DOMException('no', 'NotAllowedError')); }"""
    )
    page.get_by_role("button", name="Copy lin_ap1_scene", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("does not let this page copy")


def test_a_reason_is_no_longer_than_is_kept(page: Page, shown_desk: str) -> None:
    opened(page, shown_desk, "pictures")
    because = page.get_by_label("Because")
    because.focus()
    page.keyboard.insert_text("x" * 4100)
    expect(because).to_have_value("x" * 4000)
