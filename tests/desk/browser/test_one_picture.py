"""The sheet of one picture: layers, frames, lit normals, stops, zoom, exact numbers, profiles."""

from __future__ import annotations

import base64
import json
import urllib.parse
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import OpenImageIO as oiio
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Browser, Page, expect
from tests.desk.browser.opened import PATIENCE, Complaints, came, desk, late, opened
from tests.desk.browser.test_sheets import rows
from tests.scenes import builders as b

Codes = NDArray[np.uint8]

CODES = np.dstack(np.meshgrid(np.arange(64) * 4, np.arange(48) * 5)).astype(np.uint8)
"""Red is 4 times the column, green 5 times the row."""


def write_exr(path: Path, pixels: NDArray[Any], names: tuple[str, ...]) -> None:
    """Write floats with names of channels."""
    spec = oiio.ImageSpec(pixels.shape[1], pixels.shape[0], pixels.shape[2], oiio.FLOAT)
    spec.channelnames = names
    made = oiio.ImageBuf(spec)
    assert made.set_pixels(oiio.ROI(), np.ascontiguousarray(pixels, np.float32))
    assert made.write(str(path))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pictures of every kind, alone in a folder."""
    folder = tmp_path_factory.mktemp("pictures")
    blue = np.full((48, 64, 1), 128, np.uint8)
    (folder / "cup_srgb_rec709_scene.png").write_bytes(b.png_of(np.dstack([CODES, blue])))
    alpha = np.where(np.arange(64) < 32, 255, 51).astype(np.uint8)
    leaf = np.dstack([CODES, blue, np.broadcast_to(alpha, (48, 64))[..., None]])
    (folder / "leaf_srgb_rec709_scene.png").write_bytes(b.png_of(leaf))
    (folder / "cup_normal.png").write_bytes(b.png_of(b.normal_pixels()))
    for number, code in ((1001, 20), (1002, 220)):
        tile = np.full((16, 16, 3), code, np.uint8)
        (folder / f"tray_srgb_rec709_scene.{number}.png").write_bytes(b.png_of(tile))
    torn = b.png_of(np.full((16, 16, 3), 99, np.uint8))
    (folder / "tray_srgb_rec709_scene.1003.png").write_bytes(torn[: len(torn) // 2])
    (folder / "torn_color.png").write_bytes(torn[: len(torn) // 2])
    layers = np.dstack([np.full((16, 16, 3), 0.18), np.full((16, 16, 3), 0.72)])
    names = ("R", "G", "B", "glow.R", "glow.G", "glow.B")
    write_exr(folder / "beauty.exr", layers, names)
    sky = np.exp2(np.linspace(-8, 2, 64))[None, :, None] * np.ones((32, 1, 3))
    sky[4:10, 40:50] = 16.0  # a sun that the camera cut off
    write_exr(folder / "sky_environment.exr", sky, ("R", "G", "B"))
    return folder


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    with desk(folder) as opened_at:
        yield opened_at


@pytest.fixture(scope="module")
def shared(browser: Browser) -> Iterator[Page]:
    """One window for this module; any complaint of the browser is a failure."""
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    context.set_default_timeout(PATIENCE)
    complaints = Complaints()
    yield complaints.watch(context.new_page())
    context.close()
    assert not complaints, "\n".join(complaints)


def look_at(page: Page, address: str, name: str) -> str:
    """Open the sheet of a picture; return its id."""
    (id,) = (id for path, id in rows(address).items() if name in path)
    opened(page, address, f"picture/{id}")
    return id


def printed(page: Page, number: int = 0) -> Codes:
    """Return the codes of the exact picture on the strip, as the browser got it."""
    proof = page.locator(".proof").nth(number)
    expect(proof).to_have_attribute("data-exact", "1")
    data = proof.locator(".proof-image").first.evaluate(
        """(image) => {
             const paper = new OffscreenCanvas(image.naturalWidth, image.naturalHeight);
             const ink = paper.getContext("2d");
             ink.drawImage(image, 0, 0);
             const { data, width, height } = ink.getImageData(0, 0, paper.width, paper.height);
             return [height, width, btoa(String.fromCharCode(...data))];
           }"""
    )
    codes = np.frombuffer(base64.b64decode(data[2]), np.uint8)
    return codes.reshape(data[0], data[1], 4)[..., :3]


def press(page: Page, words: str) -> None:
    page.locator(".controls").get_by_role("button", name=words, exact=True).click()


def test_numbers_under_the_pointer_are_those_of_the_file(shared: Page, address: str) -> None:
    look_at(shared, address, "cup_srgb")
    printed(shared)
    field = shared.locator(".proof-field").first
    box, scale = field.bounding_box(), shared.locator(".scale").text_content()
    assert box
    assert scale
    factor = float(scale.strip().split()[0]) / 100
    column, row = 40, 10
    left = box["x"] + box["width"] / 2 + (column + 0.5 - 32) * factor
    top = box["y"] + box["height"] / 2 + (row + 0.5 - 24) * factor
    shared.mouse.move(left, top)
    shared.get_by_text(f"column {column}, row {row}").wait_for()
    first = shared.locator(".probe tbody tr").first.locator("td")
    assert (first.nth(0).text_content() or "").split() == ["160", "50", "128"]
    # the same pixel by keys alone, one column on
    shared.keyboard.press("Shift+ArrowRight")
    shared.get_by_text(f"column {column + 1}, row {row}").wait_for()
    expect(first.nth(0)).to_contain_text("164")


def test_zoom_and_pan_are_shared_by_all_proofs(shared: Page, address: str) -> None:
    look_at(shared, address, "cup_srgb")
    printed(shared, 1)
    press(shared, "1 : 1")
    shared.keyboard.press("Tab")
    shared.locator(".strip").focus()
    for _ in range(9):
        shared.keyboard.press("+")
    for key in ("ArrowRight", "ArrowDown"):
        shared.keyboard.press(key)
    printed(shared)
    printed(shared, 1)
    places = shared.locator(".proof-crop").evaluate_all(
        "(all) => all.map((one) => [one.style.left, one.style.top, one.style.width])"
    )
    assert len(places) == 2
    assert places[0] == places[1]
    scale = shared.locator(".scale").text_content() or ""
    assert float(scale.strip().split()[0]) > 3000
    shared.keyboard.press("ArrowRight")
    moved = shared.locator(f".proof-crop:not([style*='left: {places[0][0]}'])")
    expect(moved).to_have_count(2)
    shared.keyboard.press("0")
    printed(shared)


def test_channels_plain_and_the_view_say_which(shared: Page, address: str) -> None:
    look_at(shared, address, "leaf_")
    proof = shared.locator(".proof").first
    through = printed(shared)
    expect(proof.locator(".proof-how")).to_contain_text("ACES 2.0")
    press(shared, "plain")
    expect(proof.locator(".proof-how")).to_have_text("plain, through no view")
    plain = printed(shared)
    assert plain.shape == (48, 64, 3)
    assert np.array_equal(plain[..., :2], CODES)
    assert not np.array_equal(plain, through)
    press(shared, "A")
    alpha = printed(shared)
    assert [alpha[0, 0, 0], alpha[0, 63, 0]] == [255, 51]
    press(shared, "R")
    assert np.array_equal(printed(shared)[..., 2], CODES[..., 0])


def test_exposure_by_keys_and_slider(shared: Page, address: str) -> None:
    look_at(shared, address, "cup_srgb")
    dark = printed(shared).mean()
    for _ in range(4):
        shared.keyboard.press("]")
    expect(shared.locator(".stops")).to_have_text("+2")
    assert printed(shared).mean() > dark + 5
    shared.get_by_role("button", name="Reset the exposure").click()
    assert printed(shared).mean() == pytest.approx(dark)


def test_a_normal_map_is_lit_and_a_misreading_is_seen(shared: Page, address: str) -> None:
    look_at(shared, address, "cup_normal")
    press(shared, "lit")
    right = printed(shared).astype(float)
    misread = printed(shared, 1).astype(float)
    assert np.ptp(right, axis=2).max() == 0  # light on a grey surface has no hue
    assert np.abs(right - misread).mean() > 4
    press(shared, "down")
    flipped = printed(shared).astype(float)
    assert np.abs(flipped - right).mean() > 4


def test_light_is_rolled_over_stops_and_what_was_cut_off_is_hatched(
    shared: Page, address: str
) -> None:
    look_at(shared, address, "sky_environment")
    press(shared, "over stops")
    first = shared.locator(".proof").first
    words = first.locator(".panel-words").all_text_contents()
    assert words == ["−6 stops", "−3 stops", "0 stops", "+3 stops", "+6 stops"]
    codes = printed(shared)
    expect(first.locator(".proof-words")).to_contain_text("light was cut off there, hatched")
    assert codes.shape[1] % 5 == 0
    means = [panel[-4:].mean() for panel in np.split(codes, 5, axis=1)]
    assert means == sorted(means)
    marked = (codes == (255, 115, 0)).all(axis=2)
    assert marked.sum(axis=1).max() > 0
    # each panel keeps the shape of the picture
    width, height = first.locator(".proof-crop").first.evaluate(
        "(one) => [one.clientWidth, one.clientHeight]"
    )
    assert width / height == pytest.approx(2, rel=0.02)


def test_layers_are_chosen_by_name(shared: Page, address: str) -> None:
    look_at(shared, address, "beauty")
    press(shared, "plain")
    first = printed(shared)[0, 0, 0]
    layer = shared.get_by_label("Layer")
    offered = layer.locator("option").all_text_contents()
    assert len(offered) == 2
    assert any("glow" in one for one in offered)
    layer.select_option("glow")
    assert (first, printed(shared)[0, 0, 0]) == (round(0.18 * 255), round(0.72 * 255))


def test_frames_are_chosen_and_a_torn_one_says_so(shared: Page, address: str) -> None:
    look_at(shared, address, "tray_")
    press(shared, "plain")
    assert printed(shared)[0, 0, 0] == 20
    frame = shared.get_by_label("Tile or frame")
    frame.select_option("1")
    assert printed(shared)[0, 0, 0] == 220
    asked: list[str] = []
    shared.on("request", lambda request: asked.append(request.url))
    still = shared.locator(".proof-wait").first
    frame.select_option("0")
    printed(shared)
    with late(shared, "**/picture/*&frame=1&*") as answers:
        frame.select_option("1")
        came(shared, answers)
        frame.select_option("2")
        expect(still).to_contain_text("Cannot be shown")
    shared.wait_for_timeout(100)
    expect(still).to_be_visible()  # the print of the frame before, come late, does not stand for it
    assert not [url for url in asked if "/picture/" in url and "frame=2" in url]


def test_what_cannot_be_shown_says_why_in_list_and_sheet(
    browser: Browser, address: str, folder: Path
) -> None:
    complaints = Complaints()
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    page = complaints.watch(context.new_page())
    failed: list[str] = []
    page.on("response", lambda got: failed.append(got.url) if got.status >= 400 else None)
    opened(page, address, "pictures")
    row = page.get_by_role("option", name="torn_color.png")
    expect(row.locator(".no-thumb")).to_have_text("cannot be shown")
    assert "Cannot be shown: " in (row.locator(".no-thumb").get_attribute("title") or "")
    row.locator("[data-opens]").click()
    page.get_by_role("heading", name="It cannot be shown").wait_for()
    page.get_by_text("restore it from a copy, then survey again").wait_for()
    page.get_by_text("torn_color.png").first.wait_for()
    page.get_by_role("button", name="Survey again").wait_for()
    page.wait_for_timeout(150)
    context.close()
    assert not failed
    assert not complaints


def test_pictures_carry_the_profile_of_the_display_that_the_page_names(
    shared: Page, address: str
) -> None:
    id = look_at(shared, address, "cup_srgb")
    for display, mark in (("sRGB - Display", b"sRGB"), ("Display P3 - Display", b"cICP")):
        shared.get_by_role("button", name="Shown for").click()
        shared.get_by_label("Display assumed").select_option(display)
        view = shared.locator("dialog select").nth(1).input_value()
        shared.keyboard.press("Escape")
        shared.get_by_role("button", name=f"Shown for {display}").wait_for()
        printed(shared)
        said = shared.locator(".proof").first.get_attribute("data-label") or ""
        assert mark.decode() in said
        query = urllib.parse.urlencode({"display": display, "view": view})
        with urllib.request.urlopen(f"{address}picture/{id}?{query}") as answer:
            data = answer.read()
        # PNG, third edition, 11.3.2.5 and 11.3.2.6: chunks sRGB and cICP (12, 13: P3-D65, sRGB)
        at = data.index(mark)
        assert mark == b"sRGB" or data[at + 4 : at + 6] == bytes((12, 13))
    shared.evaluate("localStorage.clear()")


def test_histogram_and_chromaticity_follow_the_reading(shared: Page, address: str) -> None:
    id = look_at(shared, address, "cup_srgb")
    plots = shared.locator(".plots")
    plots.get_by_role("img", name="Chromaticity plot").wait_for()
    expect(plots.get_by_role("img", name="Histogram of")).to_have_count(3)
    kind = plots.get_by_role("combobox", name="Histogram of")
    kind.focus()
    kind.select_option("stops")
    plots.get_by_text("stops about mid-grey").wait_for()
    expect(kind).to_be_focused()
    with urllib.request.urlopen(f"{address}histogram/{id}?reading=data") as answer:
        counts = json.load(answer)
    assert counts["pixels"] == 64 * 48
    plots.get_by_role("combobox", name="Read as").select_option("data")
    plots.get_by_text("have no place").wait_for()


def test_a_sheet_that_was_left_asks_for_nothing(page: Page, folder: Path) -> None:
    leave_soon = """(sheet) => new Promise((left) => {
        const bench = document.getElementById("bench");
        new MutationObserver((_, watch) => {
            if (!bench.querySelector(".plots")) return;
            watch.disconnect();
            setTimeout(() => { location.hash = "#/scene"; }, 20);
            setTimeout(left, 700);
        }).observe(bench, { childList: true, subtree: true });
        location.hash = sheet;
    })"""
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    with desk(folder) as address:
        opened(page, address, "pictures")
        found = rows(address)["cup_normal.png"]
        page.evaluate(leave_soon, f"#/picture/{found}")
        left = next(at for at, url in enumerate(asked) if "api/switch" in url)  # the scene's sheet
        assert [url for url in asked[:left] if f"picture/{found}?" in url]
        assert not [url for url in asked[left:] if found in url]
