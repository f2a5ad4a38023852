"""Done while answers are on their way and other windows act: nothing of it is lost."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect
from tests.desk.browser.opened import came, desk, elsewhere, late, opened
from tests.desk.browser.test_sheets import rows

VERSION = "import(new URL('parts/desk.js', document.baseURI)).then((m) => m.desk.version)"


@pytest.fixture(scope="module")
def address(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of a desk whose pictures are decided on by every test here."""
    folder = Path(shutil.copytree(kept_scene, tmp_path_factory.mktemp("meanwhile") / "tea"))
    with desk(folder / "tea.gltf") as opened_at:
        yield opened_at


def listing(page: Page) -> dict[str, Any]:
    found = page.evaluate("fetch('api/images').then((answer) => answer.json())")
    return dict(found)


def decide(page: Page, address: str, name: str) -> None:
    """Say of a picture what was not said of it before, as another window would."""
    now = listing(page)
    row = next(row for row in now["rows"] if row["path"].endswith(name))
    other = "data" if row["reading"] != "data" else "srgb_rec709_scene"
    elsewhere(page, "api/decide", version=now["version"], ids=[row["id"]], reading=other)


def test_an_answer_that_was_overtaken_is_not_taken(page: Page, address: str) -> None:
    opened(page, address, "pictures")
    known = page.evaluate(VERSION)
    decide(page, address, "odd.png")
    page.wait_for_function(f"() => {VERSION}.then((now) => now > {known})")
    with late(page, "**/api/scene", most=1) as answers:
        decide(page, address, "odd.png")
        came(page, answers)
        decide(page, address, "odd.png")
        newest = listing(page)["version"]
        assert answers[0].json()["version"] < newest
        page.wait_for_function(f"() => {VERSION}.then((now) => now === {newest})")
    page.wait_for_timeout(100)
    assert page.evaluate(VERSION) == newest


def test_what_is_marked_and_typed_while_a_word_is_written_stays(page: Page, address: str) -> None:
    opened(page, address, "pictures")
    because, reads = page.get_by_label("Because"), page.get_by_label("Read as")
    page.get_by_role("option", name="odd.png").locator(".tick").click()
    reads.select_option("lin_ap1_scene")
    because.fill("the first")
    sign = page.get_by_role("button", name="Decide")
    other = page.get_by_role("option", name="cup_normal.png")
    with late(page, "**/api/decide", "POST") as word, late(page, "**/api/images?*") as listed:
        sign.click()
        came(page, word)
        came(page, listed)  # the rows are being fetched again, and can be pressed all the same
        other.locator(".tick").click()
        expect(other).to_have_attribute("aria-selected", "true")
        expect(sign).to_be_disabled()
        reads.select_option("srgb_ap1_scene")
        because.fill("the second")
    page.get_by_text("1 picture read as lin_ap1_scene").wait_for()
    expect(sign).to_be_enabled()
    expect(other).to_have_attribute("aria-selected", "true")
    expect(page.get_by_text("1 picture marked")).to_be_visible()
    expect(because).to_have_value("the second")
    expect(because).to_be_focused()
    expect(reads).to_have_value("srgb_ap1_scene")


def test_a_word_is_on_the_rows_that_are_shown(refused_page: Page, address: str) -> None:
    page = refused_page
    opened(page, address, "pictures")
    row = page.get_by_role("option", name="odd.png")
    row.wait_for()
    with late(page, "**/api/images?*") as answers:
        known = page.evaluate(VERSION)
        elsewhere(
            page,
            "api/decide",
            version=known,
            ids=[rows(address)["odd.png"]],
            reading="g18_rec709_scene",
        )
        came(page, answers)  # the scene's version is known by now, its rows are not
        assert page.evaluate(VERSION) > known
        row.locator(".tick").click()
        page.get_by_label("Read as").select_option("g22_ap1_scene")
        page.get_by_role("button", name="Decide").click()
        page.get_by_text("1 picture changed since this window showed it").wait_for()
    page.get_by_role("button", name="Fetch the present state").click()
    expect(row).to_have_attribute("aria-selected", "true")
    expect(row).to_contain_text("g18_rec709_scene")
    page.get_by_role("button", name="Decide").click()
    expect(row).to_contain_text("g22_ap1_scene")


def test_a_sheet_hears_what_changed_while_it_was_laid(page: Page, address: str) -> None:
    opened(page, address, "scene")
    known = page.evaluate(VERSION)
    with late(page, "**/api/colours?*", most=1) as answers:
        page.get_by_role("link", name="Colours and lights").click()
        came(page, answers)
        decide(page, address, "odd.png")
        page.wait_for_function(f"() => {VERSION}.then((now) => now > {known})")
        again: list[str] = []
        page.on("request", lambda asked: again.extend([asked.url] * ("api/colours" in asked.url)))
    came(page, again)


def test_the_focus_stays_where_it_was_though_facts_change(page: Page, address: str) -> None:
    opened(page, address, "scene")
    link = page.get_by_role("link", name="See the change line by line")
    link.focus()
    shown = page.locator(".standings").element_handle()
    decide(page, address, "odd.png")
    assert shown is not None
    page.wait_for_function("(one) => !one.isConnected", arg=shown)
    expect(link).to_be_focused()


def test_a_wish_that_waited_and_failed_says_so(refused_page: Page, address: str) -> None:
    page = refused_page
    opened(page, address, "scene")
    page.locator(".effects").get_by_text("Being worked out").wait_for(state="hidden")
    page.route("**/api/switch?*", fault)
    with late(page, "**/api/switch?*", most=1) as answers:
        page.get_by_role("button", name="Shown for").click()
        view = page.locator("dialog select").nth(1)
        view.select_option(index=1)
        came(page, answers)
        view.select_option(index=2)
    expect(page.locator(".effects")).to_contain_text("the kiln is cold")


def fault(route: Route) -> None:
    route.fulfill(
        status=500, json={"error": {"code": 500, "what": "the kiln is cold", "remedy": ""}}
    )


def test_an_answer_about_another_config_is_not_shown(page: Page, address: str) -> None:
    opened(page, address, "config")
    page.get_by_role("button", name="Write a config").click()
    chosen = page.locator("select", has=page.locator("option[value=used]"))
    expect(chosen.locator("option")).to_have_count(2)
    check = page.get_by_role("button", name="Check the config")
    with late(page, "**/api/config/check?*") as answers:
        check.click()
        came(page, answers)
        chosen.select_option("used")
        expect(page.get_by_text("At work …")).to_have_count(0)
    expect(check).to_be_enabled()
    expect(page.get_by_text("It is sound.")).to_have_count(0)
