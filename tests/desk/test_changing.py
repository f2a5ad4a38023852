"""The change at the desk: plan, agree, apply, stop, recover, undo."""

from __future__ import annotations

import hashlib
import threading
from pathlib import Path
from typing import Any

import pytest
from tests.desk.windows import Window

from primecoat import workflow
from primecoat.desk.errors import StoppedError
from primecoat.errors import UseError


def _files(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and ".primecoat" not in path.parts
    }


def _agreed(plan: dict[str, Any]) -> list[int]:
    return [o["n"] for o in plan["operations"] if o["consent"]]


def test_plan_apply_undo_leaves_everything_as_it_was(window: Window, scene: Path):
    before = _files(scene.parent)
    plan = window.post("api/plan", version=1, route="tag")
    assert _files(scene.parent) == before
    assert plan == window.get("api/plan")
    assert plan["counts"]["operations"] == len(plan["operations"]) > 0
    kinds = [operation["kind"] for operation in plan["operations"]]
    assert kinds.count("link_image") >= 2
    assert kinds[-1] == "write_scene"
    assert plan["operations"][-1]["after"] == "tea.primed.gltf"
    assert plan["operations"][-1]["places"] == len(plan["operations"][-1]["edits"]) > 0

    shown = window.post("api/apply", version=plan["version"], plan=plan["plan"], dry_run=True)
    assert {o["method"] for o in shown["operations"]} == {"not done"}
    assert _files(scene.parent) == before

    done = window.post("api/apply", version=plan["version"], plan=plan["plan"])
    assert (done["document"], done["scenes"]) == ("primecoat.applied/1", ["tea.primed.gltf"])
    after = _files(scene.parent)
    assert {path: after[path] for path in before} == before
    assert set(after) - set(before) == {o["after"] for o in plan["operations"]}
    journal = window.get("api/journal")
    assert [run["state"] for run in journal["runs"]] == ["stands"]
    assert window.get("api/scene")["history"]["undoable"]
    assert window.get("api/scene")["stale"] == ""

    undone = window.post("api/undo", version=done["version"])
    assert len(undone["operations"]) == len(plan["operations"])
    assert _files(scene.parent) == before
    assert [run["state"] for run in window.get("api/journal")["runs"]] == ["taken back"]
    assert not window.get("api/scene")["history"]["undoable"]


def test_the_plan_is_the_one_that_the_verb_draws_up(window: Window, scene: Path):
    plan = window.post("api/plan", version=1, route="tag")
    drawn = workflow.plan(workflow.survey(scene, verify=True), "tag")
    assert [o["after"] for o in plan["operations"]] == [o.target for o in drawn.operations]
    assert [h["where"] for h in plan["held"]] == [h.where for h in drawn.held]


def test_an_operation_on_a_likely_reading_needs_consent(window: Window, scene: Path):
    standings = {r["path"]: r["standing"] for r in window.get("api/images")["rows"]}
    likely = [path for path, standing in standings.items() if standing == "likely"]
    assert likely == ["maps/odd.png"]
    held = window.post("api/plan", version=1, route="tag")["held"]
    assert "maps/odd.png" in [one["where"] for one in held]
    plan = window.post("api/plan", version=1, route="tag", with_likely=True, in_place=True)
    asks = {o["before"]: o["consent"] for o in plan["operations"] if o["consent"]}
    assert all(path in asks and "likely" in asks[path] for path in likely)
    assert any("its own name" in why for why in asks.values())
    before = _files(scene.parent)
    words = window.refused(
        "api/apply", 400, version=plan["version"], plan=plan["plan"], consent=_agreed(plan)[1:]
    )
    assert "1 operation not agreed to" in words
    assert _files(scene.parent) == before
    window.post("api/apply", version=plan["version"], plan=plan["plan"], consent=_agreed(plan))
    assert _files(scene.parent) != before


def test_each_operation_has_its_own_yes_and_who_has_none_is_left_out(window: Window, scene: Path):
    odd, cup = window.ids()["maps/odd.png"], window.ids()["maps/cup.png"]
    given = {"route": "tag", "with_likely": True}
    plan = window.post("api/plan", version=1, **given)
    assert [o["picture"] for o in plan["operations"] if o["consent"]] == [odd]
    order = {"version": plan["version"], "plan": plan["plan"]}
    settled = next(o["n"] for o in plan["operations"] if o["picture"] == cup)
    # a yes to another operation is none to this one; a yes to nothing is refused
    assert "1 operation not agreed to" in window.refused(
        "api/apply", 400, **order, consent=[settled]
    )
    assert "no operation 99" in window.refused(
        "api/apply", 400, **order, consent=[*_agreed(plan), 99]
    )
    without = window.post("api/plan", version=plan["version"], **given, leave_out=[odd])
    assert (without["left_out"], without["with_likely"]) == ([odd], True)
    assert not _agreed(without)
    held = {one["where"]: one for one in without["held"]}
    assert "left it out" in held["maps/odd.png"]["why"]
    assert held["maps/odd.png"]["picture"]
    assert window.get("api/journal")["plan"] == without["plan"]
    before = _files(scene.parent)
    window.post("api/apply", version=without["version"], plan=without["plan"])
    added = set(_files(scene.parent)) - set(before)
    assert added == {o["after"] for o in without["operations"]}
    assert not any("odd" in name for name in added)
    assert any("cup" in name for name in added)
    words = window.refused("api/plan", 404, version=without["version"] + 1, leave_out=["none"])
    assert "no such picture" in words
    with pytest.raises(UseError, match=r"no image none\.png to leave out"):
        workflow.plan(workflow.survey(scene, verify=True), "tag", leave_out=["none.png"])


def test_a_plan_is_not_applied_after_the_state_changed(window: Window, scene: Path):
    plan = window.post("api/plan", version=1)
    before = _files(scene.parent)
    told = window.post(
        "api/decide", version=plan["version"], ids=[window.ids()["maps/cup.png"]], reading="data"
    )
    for version in (plan["version"], told["version"]):
        words = window.refused("api/apply", 409, version=version, plan=plan["plan"])
        assert "changed since" in words
    assert not window.get("api/plan")["current"]
    assert _files(scene.parent) == before


def test_a_picture_changed_after_the_plan_stops_it_before_anything_is_done(
    window: Window, scene: Path
):
    plan = window.post("api/plan", version=1)
    picture = scene.parent / "maps" / "cup.png"
    picture.write_bytes(picture.read_bytes() + b"\0")
    before = _files(scene.parent)
    words = window.refused("api/apply", 409, version=plan["version"], plan=plan["plan"])
    assert "cup.png" in words
    assert _files(scene.parent) == before


def test_an_unknown_plan_or_route_is_refused(window: Window):
    assert "no such plan" in window.refused("api/apply", 404, version=1, plan="none")
    assert "no route" in window.refused("api/plan", 400, version=1, route="paint")
    assert window.ask("api/plan").status_code == 404
    assert "nothing to take back" in window.refused("api/undo", 400, version=1)


def _stop_at_second(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Press "stop" when the first operation has been carried out."""
    real = workflow.apply

    def apply(plan: Any, *, baking: Any, progress: Any) -> Any:
        def told(done: int, total: int, a: int, b: int) -> None:
            if done == 1:
                # a run that the desk itself is at is not one that was cut short
                assert not window.get("api/scene")["history"]["cut_short"]
                journal = window.get("api/journal")
                assert (journal["cut_short"], journal["runs"][0]["state"]) == (False, "under way")
                window.post("api/cancel", job="proof")  # meant for work that is over: stops nothing
                assert window.post("api/cancel", job="apply") == {"job": "apply"}
            progress(done, total, a, b)

        return real(plan, baking=baking, progress=told)

    monkeypatch.setattr(workflow, "apply", apply)


@pytest.mark.parametrize("back", [True, False])
def test_apply_stopped_between_operations_is_finished_or_taken_back(
    window: Window, scene: Path, monkeypatch: pytest.MonkeyPatch, back: bool
):
    before = _files(scene.parent)
    plan = window.post("api/plan", version=1)
    _stop_at_second(window, monkeypatch)
    words = window.refused("api/apply", 409, version=plan["version"], plan=plan["plan"])
    assert "stopped" in words
    assert len(_files(scene.parent)) == len(before) + 1
    assert window.get("api/journal")["cut_short"]
    assert window.get("api/scene")["history"]["cut_short"]
    again = window.refused(
        "api/apply", 409, version=window.get("api/scene")["version"], plan=plan["plan"]
    )
    assert "cut short" in again
    outcome = window.post("api/recover", back=back)
    assert outcome["outcome"] == ("taken back" if back else "finished")
    expected = set() if back else {o["after"] for o in plan["operations"]}
    assert set(_files(scene.parent)) - set(before) == expected


def test_only_the_run_that_is_meant_is_undone(window: Window, scene: Path):
    """Of two windows that press 'Undo this run' the later one does not undo the run before."""
    runs = []
    for likely in (False, True):
        plan = window.post("api/plan", version=1, with_likely=likely)
        window.post("api/apply", version=1, plan=plan["plan"], consent=_agreed(plan))
        runs.append(window.get("api/journal")["runs"][0]["id"])
    order = {"version": 1, "run": runs[1]}  # new files beside the old ones are no other state
    window.post("api/undo", **order)
    assert "Nothing was undone" in window.refused("api/undo", 409, **order)
    states = [run["state"] for run in window.get("api/journal")["runs"]]
    assert states == ["taken back", "stands"]
    window.post("api/undo", **{**order, "run": runs[0]})


def test_one_work_at_a_time(window: Window, monkeypatch: pytest.MonkeyPatch):
    begun, may_end = threading.Event(), threading.Event()
    real = workflow.survey

    def slow(*args: Any, **given: Any) -> Any:
        begun.set()
        assert may_end.wait(60)
        return real(*args, **given)

    monkeypatch.setattr(workflow, "survey", slow)
    running = threading.Thread(target=window.post, args=("api/survey",))
    running.start()
    assert begun.wait(60)
    assert "under way: survey" in window.refused("api/plan", 409, version=1)
    assert window.get("api/scene")["job"] == "survey"
    may_end.set()
    running.join()
    assert window.get("api/scene")["job"] == ""


def test_progress_is_told_and_ends_in_done_or_failed(window: Window):
    told: list[tuple[str, dict[str, Any]]] = []
    window.desk.events.tell = lambda event, **facts: told.append((event, facts))  # type: ignore[method-assign]
    plan = window.post("api/plan", version=1)
    window.post("api/apply", version=plan["version"], plan=plan["plan"])
    ends = [facts["job"] for event, facts in told if event == "done"]
    assert ends == ["plan", "apply"]
    last = [facts for event, facts in told if event == "progress" and facts["words"] == "applying"][
        -1
    ]
    assert (last["job"], last["done"], last["left"]) == ("apply", last["of"], 0.0)

    def stopped(_: object) -> None:
        raise StoppedError("The work was stopped.", "")

    with pytest.raises(StoppedError):
        window.desk.work.run("test", stopped)
    assert told[-1][0] == "failed"
    assert told[-1][1]["error"]["what"] == "The work was stopped."
