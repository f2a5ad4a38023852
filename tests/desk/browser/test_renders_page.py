"""The page of two renders: asked, compared, matched, saved; by keyboard; and when it fails."""

from __future__ import annotations

import json
import os
import re
import shutil
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.opened import PATIENCE, came, desk, late, opened
from tests.desk.browser.test_access import violations
from tests.desk.browser.test_sheets import pictures_folder
from tests.desk.renders_desk import PLAIN, light, write_renders

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_VIEW

VIEWS = ("--view-a", PLAIN, "--view-b", DEFAULT_VIEW)

FIT = re.compile("^Fit( again)?$")
"""The button, whether or not a test before this one had the desk fit."""


@pytest.fixture(scope="module")
def home(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a small scene and two renders, the old one without a space."""
    folder = tmp_path_factory.mktemp("page")
    shutil.copytree(kept_scene, folder / "tea")
    write_renders(folder, light(), light(0.7, (1.0, 0.7, 0.6)))
    return folder


def options(home: Path) -> tuple[str, ...]:
    return ("--old", str(home / "old.exr"), "--new", str(home / "new.exr"), *VIEWS)


@pytest.fixture(scope="module")
def asking(home: Path) -> Iterator[str]:
    """Return a desk to which nobody said the space of the old render."""
    with desk(home / "tea" / "tea.gltf", *options(home)) as address:
        yield address


@pytest.fixture(scope="module")
def told(home: Path) -> Iterator[str]:
    """Return a desk to which everything was said."""
    said = ("--in-a", "lin_rec709_scene")
    with desk(home / "tea" / "tea.gltf", *options(home), *said) as address:
        yield address


def document(address: str, path: str) -> dict[str, Any]:
    with urllib.request.urlopen(address + path) as answer:
        return dict(json.load(answer))


def reach(page: Page, name: str) -> None:
    """Walk with Tab until the control of a name has the focus."""
    for _ in range(120):
        page.keyboard.press("Tab")
        found = page.evaluate(
            """() => { const at = document.activeElement; const label = at.id
                 ? document.querySelector(`label[for="${at.id}"]`) : at.closest('label');
                 return [at.ariaLabel, label?.textContent, at.textContent].filter(Boolean); }"""
        )
        if any(name in words for words in found):
            return
    raise AssertionError(f"No way to {name} by Tab.")


@pytest.mark.open_data
def test_no_serious_violation_while_asking(browser: Browser, asking: str) -> None:
    # first of this file, for what is said by a later test holds for all windows
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    opened(page, asking, "renders")
    expect(page.get_by_role("heading", name="They cannot be shown yet")).to_be_visible()
    assert violations(page) == {}
    context.close()


def test_from_the_question_to_the_saved_look_by_keyboard_alone(
    page: Page, asking: str, home: Path
) -> None:
    opened(page, asking, "renders")
    expect(page.locator("#bench")).to_contain_text("Nobody says which space")
    assert page.locator(".proof").count() == 0  # nothing is shown under a guess
    reach(page, "Space of its numbers")
    page.keyboard.type("lin_rec709_s")
    reach(page, "Read them so")
    page.keyboard.press("Enter")
    page.wait_for_selector(".proof[data-exact='1'] >> nth=1")

    reach(page, "The two renders")
    page.keyboard.press("Shift+ArrowRight")
    key = document(asking, "api/renders")["key"]
    sights = workflow.seen_together(
        home / "old.exr",
        home / "new.exr",
        in_a="lin_rec709_scene",
        view_a=PLAIN,
        view_b=DEFAULT_VIEW,
    )
    where = page.locator(".probe .where b")
    expect(where).to_have_count(2)
    x, y = (int(where.nth(i).inner_text()) for i in (0, 1))
    wanted = workflow.render_pixel(sights[0][1], x, y)
    assert wanted.ciede2000 is not None
    shown = float(page.locator("[data-figure=ciede2000]").inner_text())
    assert shown == pytest.approx(wanted.ciede2000, rel=1e-3)
    expect(page.locator(".probe tbody tr").nth(1)).to_contain_text(
        "  ".join(str(code) for code in wanted.new.display_255)
    )

    reach(page, "Fit")
    page.keyboard.press("Enter")
    page.wait_for_selector("[data-left=mean]")
    fit = document(asking, "api/renders")["match"]
    left = page.locator("[data-left=mean]")
    assert float(left.inner_text()) == pytest.approx(fit["residual"]["mean"], rel=2e-2)
    page.wait_for_selector(".proof:nth-child(2):has-text('matched')")

    reach(page, "Exposure, stops")
    before = float(page.locator("output[for=match-0]").inner_text().replace("−", "-"))
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    now = float(page.locator("output[for=match-0]").inner_text().replace("−", "-"))
    assert now == pytest.approx(before + 0.1, abs=0.011)
    expect(left).not_to_have_text(f"{fit['residual']['mean']:.3g}")
    reach(page, "Save CDL and look")
    page.keyboard.press("Enter")
    expect(page.locator(".looks li")).to_contain_text("look-1")
    folder = home / "tea" / ".primecoat" / "looks" / "look-1"
    assert (folder / "matched_look.cdl").is_file()
    reach(page, "Take look-1 away")
    page.keyboard.press("Enter")
    expect(page.locator(".looks li")).to_have_count(0)
    assert not folder.exists()
    assert key == document(asking, "api/renders")["key"]


def test_work_under_way_neither_takes_its_button_away_nor_acts_on_a_sheet_that_was_left(
    page: Page, told: str, home: Path
) -> None:
    opened(page, told, "renders")
    page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
    os.utime(home / "tea" / "tea.gltf")
    again = page.get_by_role("button", name="Survey again")
    again.wait_for()
    asked: list[str] = []
    with late(page, "**/api/renders/fit", "POST") as answers:
        page.get_by_role("button", name=FIT).click()
        stop = page.get_by_role("button", name="Stop", exact=True)
        stop.wait_for()
        button = stop.element_handle()
        came(page, answers)
        expect(page.locator(".match [role=status]")).to_contain_text("stretches of the fit")
        assert button is not None
        assert button.evaluate("(one) => one.isConnected")
        # it is the survey that makes this be over, and no other work
        expect(again).to_be_visible()
        page.get_by_role("link", name="Swatch").click()
        page.locator(".big-chip").wait_for()
        page.on("request", lambda request: asked.append(request.url))
    page.wait_for_timeout(150)
    assert not asked
    again.click()
    expect(again).to_have_count(0)


def test_ways_to_compare_scopes_and_keys(page: Page, told: str) -> None:
    opened(page, told, "renders")
    page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
    page.get_by_role("button", name="difference", exact=True).click()
    page.wait_for_selector(".proof[data-exact='1']")
    bar = page.locator(".key .bar")
    expect(bar).to_have_attribute("aria-label", "Key of the colours: 0, the same; 5; 10 and more")
    page.get_by_label("colours end at").select_option("2")
    expect(bar).to_have_attribute("aria-label", "Key of the colours: 0, the same; 1; 2 and more")
    page.keyboard.press("Escape")
    page.locator(".strip").focus()
    page.keyboard.press("x")
    expect(page.locator(".key figcaption")).to_contain_text("log2 of luminance")
    page.keyboard.press("f")
    expect(page.locator(".strip")).to_have_attribute("data-front", "new")
    for kind, drawn in (
        ("RGB parade", ".scope canvas >> nth=5"),
        ("histogram", ".scope .channel >> nth=5"),
        ("u\u2032v\u2032", ".scope .gamut >> nth=1"),
        ("waveform", ".scope canvas >> nth=1"),
    ):
        page.get_by_role("button", name=kind, exact=True).click()
        page.wait_for_selector(drawn)
    expect(page.locator(".scope").nth(1)).to_contain_text("2\u202f560 pixels")


@pytest.mark.open_data
def test_no_serious_violation_once_matched(
    browser: Browser, told: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = pictures_folder(tmp_path_factory)
    context = browser.new_context(viewport={"width": 1280, "height": 720}, bypass_csp=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    opened(page, told, "renders")
    page.get_by_role("button", name=FIT).click()
    page.wait_for_selector("[data-left=mean]")
    page.get_by_text("Each channel", exact=True).click()
    page.get_by_text("How they are read").click()
    page.get_by_role("button", name="Save CDL and look").click()
    page.wait_for_selector(".looks li")
    page.get_by_role("button", name="difference", exact=True).click()
    page.get_by_role("button", name="RGB parade").click()
    page.wait_for_selector(".scope canvas >> nth=5")
    wrong = violations(page)
    for width, height in ((1280, 720), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert beyond <= 0, f"{beyond} pixels too wide at {width}"
        page.screenshot(path=folder / f"matched-{width}.png", full_page=True)
    context.close()
    assert not wrong


def test_a_render_that_changes_under_the_page_is_told(
    browser: Browser, told: str, home: Path
) -> None:
    # a refusal is an error in the console, so this page is not watched for complaints
    page = browser.new_page()
    opened(page, told, "renders")
    page.get_by_text("How they are read").click()
    page.get_by_label("View it is seen through").select_option("")
    page.get_by_role("button", name="Read them so").click()
    expect(page.get_by_role("alert")).to_contain_text("Name both")
    page.get_by_label("View it is seen through").select_option(PLAIN)
    page.get_by_role("button", name="Read them so").click()
    expect(page.locator(".saying .now")).to_contain_text(f"New lin_ap1_scene, through {PLAIN}")
    (home / "new.exr").unlink()
    page.wait_for_selector("text=They cannot be shown yet")
    write_renders(home, light(), light(2))
    page.get_by_role("button", name="Read them so").click()
    page.wait_for_selector(".proof[data-exact='1'] >> nth=1")
    page.close()


def test_a_desk_without_renders_says_how_to_name_them(page: Page, small_desk: str) -> None:
    opened(page, small_desk, "renders")
    expect(page.locator("#bench")).to_contain_text("No renders were named.")
    expect(page.locator("#bench code")).to_contain_text("--old")
