"""The change at the desk: each yes, progress, stop, runs cut short, two windows, a lost server."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest
import uvicorn
from PIL import Image
from playwright.sync_api import Browser, Page, Route, expect
from tests.desk.browser.opened import PATIENCE, came, desk, elsewhere, late, opened
from tests.desk.browser.test_journey import contents, decisions

from primecoat import workflow
from primecoat.desk.app import desk_app
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.jobs import Progress
from primecoat.plan.plan import Plan


def draw_up(page: Page, *boxes: str) -> None:
    for box in boxes:
        page.get_by_label(box).check()
    page.get_by_role("button", name="Draw up the plan").click()
    page.get_by_role("button", name="Dry run").wait_for()


def test_each_operation_gets_its_own_yes(page: Page, scene: Path) -> None:
    before = contents(scene.parent)
    with desk(scene) as address:
        opened(page, address, "change")
        draw_up(page, "Act on likely", "Change the scene file itself")
        apply = page.get_by_role("button", name="Apply", exact=True)
        expect(apply).to_be_disabled()
        kinds = page.get_by_label("All of this kind")
        expect(kinds).to_have_count(2)
        names = kinds.first
        each = page.locator(".asking section").first.locator(".yeses input")
        every = each.count()
        assert every == 3
        names.check()
        assert each.evaluate_all("(all) => all.every((one) => one.checked)")
        each.nth(1).uncheck()
        assert names.evaluate("(one) => one.indeterminate")
        page.get_by_text(f"{every - 1} of {every} operations agreed to").wait_for()
        # the scene that is rewritten, and one picture, have no yes: nothing can be applied
        page.get_by_text("2 operations still wait for your yes").wait_for()
        expect(apply).to_be_disabled()
        kinds.nth(1).check()
        out = page.get_by_role("button", name="Leave that picture out")
        # while something is under way no button takes a press for nothing
        with late(page, "**/api/apply", "POST") as answers:
            page.get_by_role("button", name="Dry run").click()
            came(page, answers)
            expect(out).to_be_disabled()
        out.click()
        page.get_by_role("button", name="Take 1 picture in again").wait_for()
        page.get_by_text("A person left it out.").wait_for()
        # what was agreed to stays so, in the new plan; the scene's new content is a new question
        page.get_by_text(f"{every - 1} of {every - 1} operations agreed to").wait_for()
        assert not page.get_by_text("0 of").count()
        expect(apply).to_be_enabled()
        # the plan and every yes are still there after a look elsewhere
        page.get_by_role("link", name="look at it").first.click()
        page.get_by_role("heading", name="How do you know?").wait_for()
        page.go_back()
        expect(apply).to_be_enabled()
        assert contents(scene.parent) == before
        apply.click()
        page.get_by_role("button", name="Undo this run").wait_for()
        after = contents(scene.parent)
        assert after["tea.gltf"] != before["tea.gltf"]
        kept = [name for name in before if name in after and "maps/" in name]
        assert kept == ["maps/cup_normal.png"]
        page.get_by_role("button", name="Undo this run").click()
        page.locator(".runs").get_by_text("Taken back").wait_for()
        assert contents(scene.parent) == before


def test_undo_waits_until_the_run_is_over(page: Page, scene: Path) -> None:
    before = contents(scene.parent)
    with desk(scene) as address:
        opened(page, address, "change")
        draw_up(page, "Act on likely")
        for yes in page.get_by_label("All of this kind").all():
            yes.check()
        # the ledger comes before the scene's facts: a press must not be taken for nothing
        waiting: list[Route] = []
        page.route("**/api/scene", lambda route: waiting.append(route))
        page.get_by_role("button", name="Apply", exact=True).click()
        undo = page.get_by_role("button", name="Undo this run")
        undo.wait_for()
        expect(undo).to_be_disabled()
        for route in waiting:
            route.continue_()
        page.unroute("**/api/scene")
        undo.click()
        page.locator(".runs").get_by_text("Taken back").wait_for()
        assert contents(scene.parent) == before


def test_a_button_stays_the_same_while_nothing_changes(page: Page, scene: Path) -> None:
    with desk(scene) as address:
        opened(page, address, "change")
        draw_up(page, "Act on likely")
        for yes in page.get_by_label("All of this kind").all():
            yes.check()
        page.get_by_role("button", name="Apply", exact=True).click()
        undo = page.get_by_role("button", name="Undo this run")
        expect(undo).to_be_enabled()
        held = undo.element_handle()
        # another window surveys again: this one hears of it and fetches everything anew
        with page.expect_response("**/api/journal"):
            elsewhere(page, "api/survey")
        page.wait_for_timeout(300)
        expect(page.get_by_role("button", name="Undo this run")).to_be_enabled()
        assert held is not None
        assert held.evaluate("(one) => one.isConnected")
        # a ledger that was read before the run was taken back comes after the one that says so
        with late(page, "**/api/journal", most=1) as answers:
            elsewhere(page, "api/survey")
            came(page, answers)
            undo.click()
            page.locator(".runs").get_by_text("Taken back").wait_for()
        page.wait_for_timeout(100)
        expect(page.locator(".runs")).to_contain_text("Taken back")
        expect(undo).to_have_count(0)


def stage_of_six(folder: Path) -> Path:
    """Write a stage of six materials, each with a picture to convert."""
    text = "#usda 1.0\n"
    light = np.linspace(0, 255, 64)
    ramp = np.dstack(np.broadcast_arrays(light, light[:, None], 128)).astype(np.uint8)
    for number in range(6):
        Image.fromarray(ramp + number).save(folder / f"tile{number}_color.png", compress_level=1)
        text += MATERIAL.replace("NAME", f"tile{number}")
    (folder / "tea.usda").write_text(text, encoding="utf-8")
    return folder / "tea.usda"


MATERIAL = """
def Material "NAME" {
  token outputs:surface.connect = </NAME/s.outputs:surface>
  def Shader "s" {
    uniform token info:id = "UsdPreviewSurface"
    color3f inputs:diffuseColor.connect = </NAME/c.outputs:rgb>
    token outputs:surface
  }
  def Shader "c" {
    uniform token info:id = "UsdUVTexture"
    asset inputs:file = @NAME_color.png@
    token inputs:sourceColorSpace = "sRGB"
    float3 outputs:rgb
  }
}
"""


def test_progress_is_shown_and_the_work_can_be_stopped(
    refused_page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = refused_page
    stage = stage_of_six(tmp_path)
    before = contents(tmp_path)
    stopped = threading.Event()
    real = workflow.apply

    def apply(plan: Plan, *, baking: Progress, progress: Progress) -> object:
        def told(done: int, *more: int) -> None:
            baking(done, *more)
            assert done > 1 or stopped.wait(60)  # so that the page has the time to stop it

        return real(plan, baking=told, progress=progress)

    monkeypatch.setattr(workflow, "apply", apply)
    listening = bound(0)
    with served(stage, listening, KEY):
        opened(page, f"http://127.0.0.1:{listening.getsockname()[1]}/{KEY}/", "change")
        page.get_by_label("By new pixels").check()
        draw_up(page)
        page.get_by_role("button", name="Apply", exact=True).click()
        stop = page.get_by_role("button", name="Stop it")
        page.locator(".says", has_text="baking").wait_for()
        assert page.get_by_role("progressbar").get_attribute("max") == "6"
        with page.expect_response("**/api/cancel"):
            stop.click()
        stopped.set()
        page.get_by_text("The work was stopped.").wait_for()
        expect(page.get_by_role("button", name="Draw up the plan")).to_be_enabled()
        # nothing of the scene was begun, so there is nothing to get back from
        page.get_by_text("Nothing was changed yet.").wait_for()
    assert contents(tmp_path) == before


CUT_SHORT = """
import os, sys
from pathlib import Path
from primecoat import workflow

def told(done, *_):
    if done == 2:
        os._exit(9)

survey = workflow.survey(Path(sys.argv[1]), verify=True)
workflow.apply(workflow.plan(survey, "tag"), progress=told)
"""


def test_a_killed_run_is_taken_back_here(page: Page, scene: Path) -> None:
    before = contents(scene.parent)
    killed = subprocess.run([sys.executable, "-c", CUT_SHORT, str(scene)], check=False)
    assert killed.returncode == 9
    assert len(contents(scene.parent)) == len(before) + 2
    with desk(scene) as address:
        opened(page, address, "scene")
        page.get_by_role("link", name="finish it or take it back").click()
        page.get_by_text("A run was cut short").wait_for()
        page.get_by_role("button", name="Finish it").wait_for()
        page.get_by_role("button", name="Take it back").click()
        page.locator(".runs li").first.get_by_text("Taken back", exact=True).wait_for()
    assert contents(scene.parent) == before


def test_two_windows_share_what_is_decided(browser: Browser, page: Page, scene: Path) -> None:
    with desk(scene) as address:
        opened(page, address, "pictures?standing=likely")
        context = browser.new_context(viewport={"width": 1280, "height": 720})
        context.set_default_timeout(PATIENCE)
        other = context.new_page()
        opened(other, address, "pictures")
        deaf = context.new_page()  # hears nothing of what the others do
        deaf.route("**/events", lambda route: route.abort())
        opened(deaf, address, "pictures")

        def decide(window: Page, reading: str) -> None:
            window.get_by_role("option", name="odd.png").locator(".tick").click()
            window.get_by_label("Read as").select_option(reading)
            window.get_by_role("button", name="Decide").click()

        decide(page, "srgb_rec709_scene")
        row = other.get_by_role("option", name="odd.png")
        row.get_by_text("overruled").wait_for()
        decide(deaf, "data")
        deaf.get_by_text("1 picture changed since this window showed it").wait_for()
        assert "srgb_rec709_scene" in decisions(scene.parent)
        assert '"data"' not in decisions(scene.parent)
        deaf.get_by_role("button", name="Fetch the present state").click()
        deaf.get_by_role("option", name="odd.png").get_by_text("overruled").wait_for()
        context.close()


def test_a_killed_desk_is_told_and_keeps_what_was_decided(
    refused_page: Page, scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = refused_page
    started: list[subprocess.Popen[str]] = []
    real = subprocess.Popen

    def noted(*given: object, **more: object) -> subprocess.Popen[str]:
        started.append(real(*given, **more))  # type: ignore[call-overload]
        return started[-1]

    monkeypatch.setattr(subprocess, "Popen", noted)
    with desk(scene) as address:
        opened(page, address, "pictures")
        page.get_by_role("option", name="odd.png").locator(".tick").click()
        page.get_by_label("Because").fill("seen before the end")
        page.get_by_role("button", name="Decide").click()
        page.get_by_role("option", name="odd.png").get_by_text("overruled").wait_for()
        os.kill(started[-1].pid, signal.SIGKILL)
        page.get_by_text("The desk does not answer.").wait_for()
        page.get_by_text("open the address that it gives").wait_for()
        page.get_by_role("option", name="cup_normal.png").locator(".tick").click()
        page.get_by_label("Because").fill("typed with nobody there")
        page.get_by_role("button", name="Decide").click()
        page.get_by_text("Its server has stopped.").wait_for()
        # what was typed is not lost
        assert page.get_by_label("Because").input_value() == "typed with nobody there"
    assert "seen before the end" in decisions(scene.parent)


@contextmanager
def served(scene: Path, listening: socket.socket, key: str) -> Iterator[None]:
    """Serve a desk under a key that is known beforehand, as if the same one came back."""
    listening.listen(16)
    held = build_desk(Asked(target=scene), workflow.survey(scene))
    app = desk_app(held, key=key, port=listening.getsockname()[1])
    config = uvicorn.Config(app, lifespan="off", log_config=None, timeout_graceful_shutdown=1)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, args=([listening],))
    thread.start()
    try:
        yield
    finally:
        held.events.close()
        server.should_exit = True
        thread.join()


KEY = "k" * 43


def bound(port: int) -> socket.socket:
    """Return a socket at a port that may be bound more than once; 0 for any that is free."""
    made = socket.socket()
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
    made.bind(("127.0.0.1", port))
    return made


def test_a_page_goes_on_when_its_desk_answers_again(refused_page: Page, scene: Path) -> None:
    page = refused_page
    kept = bound(0)  # it keeps the port from others while nobody listens
    port = kept.getsockname()[1]
    with served(scene, bound(port), KEY):
        opened(page, f"http://127.0.0.1:{port}/{KEY}/", "pictures?standing=likely")
        page.get_by_role("option", name="odd.png").wait_for()
    page.get_by_text("The desk does not answer.").wait_for()
    workflow.decide_all(
        workflow.survey(scene), ["maps/odd.png"], "srgb_rec709_scene", because="meanwhile"
    )
    with served(scene, bound(port), KEY):
        expect(page.get_by_text("The desk does not answer.")).to_have_count(0)
        page.get_by_text("No picture answers to this.").wait_for()
    kept.close()
