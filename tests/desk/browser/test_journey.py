"""From the demo to a primed scene and back, by mouse and by keyboard only."""

from __future__ import annotations

import hashlib
from pathlib import Path

from playwright.sync_api import Page, expect
from tests.desk.browser.opened import desk, opened

SURE = "textures/bowl_color.png"


def contents(folder: Path) -> dict[str, str]:
    """Return the hash of every file of a scene, without the state of Primecoat."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and ".primecoat" not in path.parts
    }


def decisions(folder: Path) -> str:
    """Return what is written in the decisions file; nothing if there is none."""
    file = folder / ".primecoat" / "decisions.json"
    return file.read_text(encoding="utf-8") if file.exists() else ""


def test_by_mouse(page: Page, own_tea_set: Path) -> None:
    before = contents(own_tea_set)
    with desk(own_tea_set / "tea.gltf") as address:
        opened(page, address, "scene")
        page.get_by_role("link", name="Show likely").click()
        row = page.get_by_role("option", name="bowl_color.png")
        row.locator(".tick").click()
        expect(row).to_have_attribute("aria-selected", "true")
        page.get_by_label("Read as").select_option("srgb_rec709_scene")
        page.get_by_label("Because").fill("painted on an sRGB screen")
        page.get_by_role("button", name="Decide").click()
        page.get_by_text("No picture answers to this.").wait_for()
        assert SURE in decisions(own_tea_set)
        assert "painted on an sRGB screen" in decisions(own_tea_set)

        page.get_by_role("button", name="Take the last word back").click()
        page.get_by_role("option", name="bowl_color.png").wait_for()
        assert "painted on an sRGB screen" not in decisions(own_tea_set)

        page.get_by_role("link", name="Change").click()
        page.get_by_role("button", name="Draw up the plan").click()
        page.get_by_role("button", name="Dry run").click()
        page.get_by_text("Nothing was changed.").wait_for()
        assert contents(own_tea_set) == before
        page.get_by_role("button", name="Apply").click()
        page.get_by_role("button", name="Undo this run").wait_for()
        after = contents(own_tea_set)
        assert "tea.primed.gltf" in after
        assert {name: after[name] for name in before} == before

        page.get_by_role("button", name="Undo this run").click()
        page.locator(".runs").get_by_text("Taken back").wait_for()
        assert contents(own_tea_set) == before


def test_by_keyboard_only(page: Page, own_tea_set: Path) -> None:
    before = contents(own_tea_set)
    press = page.keyboard.press

    def tab_to(name: str) -> None:
        for _ in range(60):
            press("Tab")
            said = "(document.activeElement.labels?.[0] ?? document.activeElement).textContent"
            if name in page.evaluate(said):
                return
        raise AssertionError(f"no Tab leads to {name}")

    with desk(own_tea_set / "tea.gltf") as address:
        opened(page, address, "scene")
        press("g")
        press("p")
        page.locator(".vlist:focus").wait_for()
        press("Space")
        press("Shift+ArrowDown")
        expect(page.locator("[aria-selected='true']")).to_have_count(2)
        press("Escape")
        expect(page.locator("[aria-selected='true']")).to_have_count(0)
        press("Home")
        press("d")
        page.keyboard.type("srgb_rec709_scene")
        tab_to("Because")
        page.keyboard.type("seen at the desk")
        press("Enter")
        page.locator(".vrow", has_text="bowl_color.png").get_by_text("overruled").wait_for()
        page.locator(".vlist:focus").wait_for()
        assert "seen at the desk" in decisions(own_tea_set)

        press("g")
        press("h")
        page.get_by_role("heading", name="Change", exact=True).wait_for()
        tab_to("Draw up the plan")
        press("Enter")
        page.get_by_role("button", name="Apply").wait_for()
        tab_to("Apply")
        press("Enter")
        page.get_by_role("button", name="Undo this run").wait_for()
        assert "tea.primed.gltf" in contents(own_tea_set)
        press("g")
        press("s")
        page.get_by_role("link", name="to the ledger").wait_for()
        tab_to("to the ledger")
        press("Enter")
        page.get_by_role("button", name="Undo this run").wait_for()
        tab_to("Undo this run")
        press("Enter")
        page.locator(".runs").get_by_text("Taken back").wait_for()
        assert contents(own_tea_set) == before


def test_a_scene_changed_on_disk_is_told(page: Page, own_tea_set: Path) -> None:
    scene = own_tea_set / "tea.gltf"
    with desk(scene) as address:
        opened(page, address, "pictures")
        text = scene.read_text(encoding="utf-8")
        scene.write_text(text.replace("tenmoku glaze", "temmoku glaze"), encoding="utf-8")
        page.get_by_role("button", name="Survey again").wait_for()
        opened(page, address, "pictures")  # a window that is opened later is told as well
        page.get_by_role("button", name="Survey again").click()
        page.locator(".vrow", has_text="temmoku glaze").first.wait_for()
