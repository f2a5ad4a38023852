"""What windows share: decisions, staleness, versions."""

from __future__ import annotations

import asyncio
import json
import os
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.desk.windows import Window

from primecoat import workflow
from primecoat.desk.events import WAITING, Events
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.desk.watch import Watch
from primecoat.reading.decisions import read_decisions


def _reading(window: Window, path: str) -> tuple[str, str]:
    row = next(r for r in window.get("api/images")["rows"] if r["path"] == path)
    return row["reading"], row["standing"]


def test_a_word_is_written_at_once_and_heard_by_every_window(window: Window, scene: Path):
    other = Window(window.desk)
    ids = window.ids()
    said = window.post(
        "api/decide", version=1, ids=[ids["maps/cup.png"]], reading="data", because="a mask"
    )
    assert (said["version"], said["decided"], said["refused"]) == (2, [ids["maps/cup.png"]], [])
    kept = read_decisions(scene.parent)["maps/cup.png"]
    assert (kept.reading, kept.because) == ("data", "a mask")
    assert _reading(other, "maps/cup.png") == ("data", "overruled")
    row = other.get(f"api/image/{ids['maps/cup.png']}")
    assert row["decided"]["because"] == "a mask"
    assert row["evidence"][0]["witness"] == "person"
    assert other.get("api/scene")["counts"]["overruled"] == 1
    again = workflow.survey(scene)
    story = workflow.why(again, "maps/cup.png")
    assert (story.reading, story.standing) == ("data", "overruled")


def test_many_pictures_get_one_word_and_it_is_taken_back_whole(window: Window, scene: Path):
    before = {path: _reading(window, path) for path in window.ids()}
    first = window.post("api/decide", version=1, ids=[window.ids()["maps/odd.png"]], reading="data")
    ids = [*window.ids().values()]
    told = window.post(
        "api/decide", version=first["version"], ids=[*ids, "none"], reading="srgb_p3d65_scene"
    )
    assert (sorted(told["decided"]), len(told["refused"])) == (sorted(ids), 1)
    assert {d.reading for d in read_decisions(scene.parent).values()} == {"srgb_p3d65_scene"}
    back = window.post("api/undecide", version=told["version"])
    assert sorted(back["undecided"]) == sorted(before)
    assert [d.reading for d in read_decisions(scene.parent).values()] == ["data"]
    last = window.post("api/undecide", version=back["version"])
    assert read_decisions(scene.parent) == {}
    assert {path: _reading(window, path) for path in before} == before
    assert "no decision" in window.refused("api/undecide", 400, version=last["version"])


def test_judging_again_comes_to_what_a_new_survey_comes_to(window: Window, scene: Path):
    ids = window.ids()
    version = 1
    for path in ("maps/cup.png", "maps/odd.png"):
        said = window.post("api/decide", version=version, ids=[ids[path]], reading="data")
        version = said["version"]
        held, new = window.desk.session.state.survey, workflow.survey(scene)
        assert held.readings.images == new.readings.images
        assert held.findings == new.findings
    for _ in range(2):
        version = window.post("api/undecide", version=version)["version"]
        held, new = window.desk.session.state.survey, workflow.survey(scene)
        assert held.readings.images == new.readings.images


def test_a_word_outlives_the_desk_and_can_be_taken_back_by_the_next(window: Window, scene: Path):
    window.post("api/decide", version=1, ids=[window.ids()["maps/cup.png"]], reading="data")
    next_desk = Window(build_desk(Asked(target=scene), workflow.survey(scene)))
    assert _reading(next_desk, "maps/cup.png") == ("data", "overruled")
    next_desk.post("api/undecide", version=1)
    assert read_decisions(scene.parent) == {}


def test_a_decision_changed_by_other_means_is_not_taken_back(window: Window, scene: Path):
    told = window.post("api/decide", version=1, ids=[window.ids()["maps/cup.png"]], reading="data")
    file = scene.parent / ".primecoat" / "decisions.json"
    document = json.loads(file.read_text())
    document["decisions"][0]["reading"] = "lin_ap1_scene"
    file.write_text(json.dumps(document))
    window.post("api/survey")
    version = window.get("api/scene")["version"]
    assert version > told["version"]
    assert "changed since" in window.refused("api/undecide", 409, version=version)
    assert read_decisions(scene.parent)["maps/cup.png"].reading == "lin_ap1_scene"


def test_no_reading_that_does_not_exist(window: Window, scene: Path):
    ids = [window.ids()["maps/cup.png"]]
    assert "no reading" in window.refused("api/decide", 400, version=1, ids=ids, reading="blue")
    assert read_decisions(scene.parent) == {}


def test_a_window_that_shows_an_older_state_of_a_picture_is_refused(window: Window, scene: Path):
    ids = window.ids()
    window.post("api/decide", version=1, ids=[ids["maps/cup.png"]], reading="data")
    words = window.refused(
        "api/decide", 409, version=1, ids=[ids["maps/cup.png"]], reading="srgb_rec709_scene"
    )
    assert "maps/cup.png" in words
    assert "Look at what changed" in words
    assert read_decisions(scene.parent)["maps/cup.png"].reading == "data"


def test_a_window_may_act_on_what_did_not_change(window: Window):
    ids = window.ids()
    window.post("api/decide", version=1, ids=[ids["maps/cup.png"]], reading="data")
    told = window.post("api/decide", version=1, ids=[ids["maps/odd.png"]], reading="data")
    assert told["version"] == 3


def test_two_windows_decide_at_one_time_and_no_word_is_lost(window: Window, scene: Path):
    ids = list(window.ids().values())
    answers = []

    def say(id: str) -> None:
        answers.append(window.send("api/decide", {"version": 1, "ids": [id], "reading": "data"}))

    threads = [threading.Thread(target=say, args=(id,)) for id in ids]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    told = [a.status_code for a in answers]
    assert set(told) <= {200, 409}
    assert len(read_decisions(scene.parent)) == told.count(200) >= 1


def test_a_scene_changed_on_disk_is_not_acted_on(window: Window, scene: Path):
    ids = window.ids()
    text = scene.read_text()
    scene.write_text(text.replace('"glaze"', '"slip"'))
    body = {"version": 1, "ids": [ids["maps/cup.png"]], "reading": "data"}
    for route, more in (
        ("api/decide", body),
        ("api/undecide", {"version": 1}),
        ("api/plan", {"version": 1}),
        ("api/undo", {"version": 1}),
    ):
        words = window.refused(route, 409, **more)
        assert "The scene tea.gltf changed on disk" in words
        assert "Survey again" in words
    assert read_decisions(scene.parent) == {}
    assert "tea.gltf" in window.get("api/scene")["stale"]
    version = window.post("api/survey")["version"]
    assert version == 2
    assert window.get("api/scene")["stale"] == ""
    assert window.get("api/images", owner="slip")["total"] == 3
    assert "changed since this window" in window.refused("api/decide", 409, **body)
    window.post("api/decide", **{**body, "version": version})


def test_another_process_that_decides_is_noticed(window: Window, scene: Path):
    workflow.decide(workflow.survey(scene), "maps/cup.png", "data")
    words = window.refused(
        "api/decide", 409, version=1, ids=[window.ids()["maps/odd.png"]], reading="data"
    )
    assert "The decisions changed on disk" in words
    window.post("api/survey")
    assert _reading(window, "maps/cup.png") == ("data", "overruled")


def test_house_conventions_that_change_are_noticed(window: Window, scene: Path):
    wish = {"ids": [window.ids()["maps/odd.png"]], "reading": "data"}
    version = 1
    for text in ('[tokens]\nwild = "data"\n', '[tokens]\nwild = "srgb_rec709_scene"\n'):
        (scene.parent / "primecoat.toml").write_text(text)
        words = window.refused("api/decide", 409, version=version, **wish)
        assert "The house conventions changed on disk" in words
        version = window.post("api/survey")["version"]
    assert window.get("api/scene")["stale"] == ""
    window.post("api/decide", version=version, **wish)


def test_the_watch_tells_once_of_what_changed(window: Window, scene: Path):
    told: list[dict[str, object]] = []
    window.desk.events.tell = lambda event, **facts: told.append({"event": event, **facts})  # type: ignore[method-assign]
    with Watch(window.desk.session, every=0.01):
        os.utime(scene, ns=(1, 1))
        end = time.monotonic() + 60
        while not told and time.monotonic() < end:
            time.sleep(0.01)
        time.sleep(0.1)
    assert [(t["event"], t["stale"]) for t in told] == [("changed", True)]


def test_a_survey_that_finds_nothing_new_keeps_the_version(window: Window):
    assert window.post("api/survey")["version"] == 1


def test_a_word_said_while_pictures_are_measured_is_not_lost(
    window: Window, monkeypatch: pytest.MonkeyPatch
):
    """The survey read the decisions before the word came, and ends after it."""
    _decide_during(window, monkeypatch, "api/survey", {})
    assert _reading(window, "maps/cup.png") == ("data", "overruled")


def test_a_word_said_while_a_change_is_looked_over_is_not_lost(
    window: Window, monkeypatch: pytest.MonkeyPatch
):
    plan = window.post("api/plan", version=1)
    _decide_during(window, monkeypatch, "api/apply", {"version": 1, "plan": plan["plan"]})
    assert _reading(window, "maps/cup.png") == ("data", "overruled")


def test_a_scene_saved_while_pictures_are_measured_is_noticed(
    window: Window, scene: Path, monkeypatch: pytest.MonkeyPatch
):
    real = workflow.survey

    def saved_meanwhile(*args: object, **given: object) -> object:
        found = real(*args, **given)  # type: ignore[arg-type]
        scene.write_text(scene.read_text().replace('"glaze"', '"slip"'))
        return found

    monkeypatch.setattr(workflow, "survey", saved_meanwhile)
    window.post("api/survey")
    assert "tea.gltf changed" in window.refused("api/undo", 409, version=1)


def _decide_during(
    window: Window, monkeypatch: pytest.MonkeyPatch, path: str, body: dict[str, object]
) -> None:
    """Decide on a picture when the survey that a work makes has been made, and is not held yet."""
    real = workflow.survey
    surveyed, decided = threading.Event(), threading.Event()

    def slow(*args: object, **given: object) -> object:
        found = real(*args, **given)  # type: ignore[arg-type]
        surveyed.set()
        assert decided.wait(60)
        return found

    ids = window.ids()
    monkeypatch.setattr(workflow, "survey", slow)
    running = threading.Thread(target=window.post, args=(path,), kwargs=body)
    running.start()
    assert surveyed.wait(60)
    window.post("api/decide", version=1, ids=[ids["maps/cup.png"]], reading="data")
    decided.set()
    running.join()


def test_a_window_that_does_not_read_loses_progress_and_no_end():
    async def told() -> list[str]:
        events = Events()
        stream = events.stream(1)
        await anext(stream)  # hello
        events.tell("done", job="survey")
        for done in range(2 * WAITING):
            events.tell("progress", job="plan", done=done)
        events.tell("done", job="plan")
        await asyncio.sleep(0)
        return [await anext(stream) for _ in range(WAITING)]

    with ThreadPoolExecutor(1) as apart:  # a browser's loop may run here
        got = apart.submit(asyncio.run, told()).result()
    assert [n for n, text in enumerate(got) if "event: done" in text] == [0, WAITING - 1]
    assert f'"done": {2 * WAITING - 1}' in got[-2]
