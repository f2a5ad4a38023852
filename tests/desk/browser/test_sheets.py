"""Every sheet opens in both themes and sizes without complaint; pictures of each are kept."""

from __future__ import annotations

import json
import os
import urllib.request
from itertools import product
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.opened import Complaints, opened

from primecoat.colour.ids import READINGS

SHEETS = (
    *("scene", "pictures", "picture", "colours"),
    *("change", "proof", "card", "renders", "swatch", "config"),
)
STATES = {
    **{sheet: sheet for sheet in SHEETS},
    "picture": "picture:sugar_jar_color.png",
    "lit": "picture:teapot_normal.png",
    "missing": "picture:coaster_color.png",
    "contact": "pictures",
}
"""Names of what is looked at, each with its sheet and picture."""

MOVING = "document.getAnimations().length"

THEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
SIZES = ((1280, 720), (1920, 1080))


def rows(address: str) -> dict[str, str]:
    """Return the id of each picture by the name of its file."""
    with urllib.request.urlopen(f"{address}api/images?count=500") as answer:
        return {row["path"].split("/")[-1]: row["id"] for row in json.load(answer)["rows"]}


def pictures_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where pictures of the sheets are put: ``PRIMECOAT_TEST_PICTURES``, else aside."""
    named = os.environ.get("PRIMECOAT_TEST_PICTURES")
    folder = Path(named) if named else tmp_path_factory.mktemp("sheets")
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def arrange(page: Page, name: str) -> None:
    """Bring a sheet into the state that is looked at."""
    if name == "lit":
        page.get_by_role("button", name="lit", exact=True).click()
    if name in ("picture", "renders", "lit"):
        page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
    if name in ("pictures", "contact"):
        word = "contact sheet" if name == "contact" else "list"
        page.get_by_role("button", name=word, exact=True).click()
        page.locator(".thumb:not([hidden])").nth(6).wait_for()
    if name == "change":
        page.get_by_label("Act on likely").check()
        page.get_by_role("button", name="Draw up the plan").click()
        page.get_by_role("button", name="Dry run").click()
        page.get_by_text("Nothing was changed.", exact=False).last.wait_for()
    if name == "scene":
        page.locator(".effect").first.wait_for()
    if name == "config":
        page.get_by_role("button", name="Try the names").click()
        page.locator(".names").wait_for()


def test_all_sheets_open(
    browser: Browser, shown_desk: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    complaints = Complaints()
    folder = pictures_folder(tmp_path_factory)
    ids = rows(shown_desk)
    context = browser.new_context(reduced_motion="reduce")
    page = complaints.watch(context.new_page())
    for name, sheet in STATES.items():
        page.set_viewport_size({"width": 1280, "height": 720})
        place, _, picture = sheet.partition(":")
        opened(page, shown_desk, f"{place}/{ids[picture]}" if picture else place)
        arrange(page, name)
        for theme, (width, height) in product(THEMES, SIZES):
            page.emulate_media(color_scheme=theme)
            page.set_viewport_size({"width": width, "height": height})
            page.wait_for_timeout(80)
            expect(page.locator("html")).to_have_attribute("data-theme", theme)
            beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert beyond <= 0, f"{name} is {beyond} pixels too wide at {width}"
            assert not page.evaluate(MOVING), f"{name} moves though no motion is wanted"
            file = folder / f"{name}-{theme}-{width}.png"
            page.screenshot(path=file)
            assert file.stat().st_size > 10_000
    context.close()
    assert not complaints, "\n".join(complaints)


def test_readings_on_offer_are_all_there_are(page: Page, shown_desk: str) -> None:
    opened(page, shown_desk, "scene")
    offered = page.evaluate(
        "import(new URL('parts/readings.js', document.baseURI).href).then((m) => m.READINGS)"
    )
    assert tuple(offered) == READINGS


def test_a_key_of_one_letter_can_be_turned_off(page: Page, shown_desk: str) -> None:
    # WCAG 2.2, success criterion 2.1.4 Character Key Shortcuts
    opened(page, shown_desk, "scene")
    page.keyboard.press("?")
    page.get_by_role("dialog").get_by_text("Everywhere").wait_for()
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Shown for").click()
    page.get_by_label("Keys of one letter").uncheck()
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_names_that_reorder_text_are_escaped(page: Page, shown_desk: str) -> None:
    # Unicode Standard Annex 9: U+202E RIGHT-TO-LEFT OVERRIDE; U+200B ZERO WIDTH SPACE
    opened(page, shown_desk, "scene")
    said = page.evaluate(
        """import(new URL('parts/dom.js', document.baseURI).href).then((m) => {
             const made = m.nameOf('a\\u202egnp.exe\\u200b<img src=x onerror=alert(1)>');
             return [made.textContent, made.querySelectorAll('img').length];
           })"""
    )
    assert said == ["a\\u{202e}gnp.exe\\u{200b}<img src=x onerror=alert(1)>", 0]


def test_an_escape_reads_from_the_left_within_a_name_that_does_not(
    page: Page, shown_desk: str
) -> None:
    opened(page, shown_desk, "scene")
    places = page.evaluate(
        """import(new URL('parts/dom.js', document.baseURI).href).then((m) => {
             const made = m.nameOf('\u05e9\u05dc\\u202egnp');
             document.body.append(made);
             const texts = document.createTreeWalker(made, NodeFilter.SHOW_TEXT), places = [];
             for (let node; (node = texts.nextNode());) {
               for (let i = 0; i < node.length; i += 1) {
                 const range = document.createRange();
                 range.setStart(node, i);
                 range.setEnd(node, i + 1);
                 places.push([node.data[i], range.getBoundingClientRect().x]);
               }
             }
             return places;
           })"""
    )
    letters, where = zip(*places, strict=True)
    assert "".join(letters) == "\u05e9\u05dc\\u{202e}gnp"
    assert list(where[2:10]) == sorted(where[2:10])


def test_the_page_parses_no_text_as_markup() -> None:
    static = Path(__file__).parents[3] / "src/primecoat/desk/static"
    scripts = sorted(static.rglob("*.js"))
    assert len(scripts) > 10
    for script in scripts:
        text = script.read_text(encoding="utf-8")
        for way in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
            assert way not in text, f"{script.name} uses {way}"
        assert ("fetch(url" in text) == (script.name == "api.js")
