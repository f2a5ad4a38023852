"""The match at the desk: what the verb gives, by hand, saved and taken away."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import PyOpenColorIO as ocio
import pytest
from tests.desk.renders_desk import PLAIN, light, survey_of, window_on, write_renders
from tests.desk.windows import Window

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_VIEW
from primecoat.errors import RefusedError
from primecoat.report.match_document import match_document

SAID = {"in_old": "lin_rec709_scene", "view_old": PLAIN, "view_new": DEFAULT_VIEW}
VERB: dict[str, Any] = {"in_a": "lin_rec709_scene", "view_a": PLAIN, "view_b": DEFAULT_VIEW}
NUMBERS = [0.5, 1.1, 0.9]


@pytest.fixture(scope="module")
def paths(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return write_renders(tmp_path_factory.mktemp("renders"), light(), light(0.7, (1, 0.7, 0.6)))


@contextmanager
def fitted(scene: Path, paths: tuple[Path, Path]) -> Iterator[tuple[Window, str]]:
    """Give a window of a desk that has fitted, and the key of its renders."""
    with window_on(scene, workflow.survey(scene, workers=1), paths, **SAID) as window:
        key = window.get("api/renders")["key"]
        window.post("api/renders/fit", key=key)
        yield window, key


@pytest.fixture
def matched(scene: Path, paths: tuple[Path, Path]) -> Iterator[tuple[Window, str]]:
    """A desk whose scene a test may write beside."""
    with fitted(scene, paths) as found:
        yield found


@pytest.fixture(scope="module")
def kept_match(kept_scene: Path, paths: tuple[Path, Path]) -> Iterator[tuple[Window, str]]:
    """A desk that no test saves at."""
    with fitted(kept_scene / "tea.gltf", paths) as found:
        yield found


def test_the_fit_is_that_of_the_verb(kept_match: tuple[Window, str], paths: tuple[Path, Path]):
    window, key = kept_match
    told = window.get("api/renders")["match"]
    found = workflow.match(*paths, **VERB)
    wanted = match_document(found, ())
    adjusts = [step.pop("adjust") for step in told["steps"]]
    assert told == _as_json(wanted)
    assert adjusts[1][0] == pytest.approx(found.steps[1].adjustment.stops)
    # numbers of a step are that step, and leave what it leaves
    left = window.get("api/renders/left", key=key, adjust=_query(adjusts[2]))
    assert (left["step"], left["residual"]) == ("contrast", told["steps"][2]["residual"])


def test_numbers_by_hand_leave_what_their_files_leave(
    matched: tuple[Window, str], scene: Path, tmp_path: Path, paths: tuple[Path, Path]
):
    window, key = matched
    left = window.get("api/renders/left", key=key, adjust=_query(NUMBERS))
    assert left["step"] == "by hand"
    assert left["residual"]["mean"] > window.get("api/renders")["match"]["residual"]["mean"]
    saved = window.post("api/renders/save", key=key, adjust=NUMBERS)
    folder = Path(saved["folder"])
    assert folder == scene.parent / ".primecoat" / "looks" / "look-1"
    assert sorted(saved["names"]) == sorted(path.name for path in folder.iterdir())
    # each file was read back by OpenColorIO, and the render put through it
    for one in saved["read_back"]:
        assert one["pixels_mean"] == pytest.approx(left["residual"]["pixels_mean"], rel=1e-3)
    # what is written is no part of the scene
    names = [image.record.path for image in workflow.survey(scene.parent).readings.images]
    assert not any("look" in name for name in names)
    by_verb = workflow.match_by_hand(
        workflow.match(*paths, **VERB), stops=0.5, contrast=1.1, saturation=0.9
    )
    for one in workflow.save_match(by_verb, tmp_path / "verb"):
        assert (folder / one.path.name).read_bytes() == one.path.read_bytes(), one.path.name


def test_a_saved_look_goes_into_a_config_unasked(matched: tuple[Window, str]):
    """By its CDL and by its CLF, each with what the desk knows of it, the config does the same."""
    window, key = matched
    assert window.get("api/config/files")["looks"] == []
    window.post("api/renders/save", key=key, adjust=NUMBERS)
    offered = window.get("api/config/files")["looks"]
    assert {one["name"].rsplit(".")[-1] for one in offered} == {"cc", "ccc", "cdl", "clf"}
    light = []
    for one in offered:
        known = {"works_in": one["works_in"]}
        known |= {"clamp": one["clamp"]} if one["kind"] == "CDL" else {"gives": one["gives"]}
        told = window.post("api/config/write", another=True, look={"file": one["id"], **known})
        config = ocio.Config.CreateFromFile(told["config"])
        (look,) = (name for name in config.getLookNames() if "matched" in name)
        look = ocio.LookTransform(src="lin_ap1_scene", dst="lin_ap1_scene", looks=look)
        pixel = config.getProcessor(look).getDefaultCPUProcessor().applyRGB([0.18, 0.5, 0.02])
        assert max(abs(a - b) for a, b in zip(pixel, (0.18, 0.5, 0.02), strict=True)) > 0.01
        light.append(pixel)
    assert np.allclose(light, light[0], rtol=1e-4)


def test_nothing_is_written_over_and_what_was_written_can_be_taken_away(
    matched: tuple[Window, str], scene: Path
):
    window, key = matched
    looks = scene.parent / ".primecoat" / "looks"
    (looks / "look-1").mkdir(parents=True)
    (looks / "look-1" / "matched_look.cc").write_text("mine")
    first = window.post("api/renders/save", key=key, adjust=NUMBERS)
    second = window.post("api/renders/save", key=key, adjust=[0, 1, 1])
    assert (first["name"], second["name"]) == ("look-2", "look-3")
    assert second["step"] == "nothing"
    gone = window.post("api/renders/take-away", name="look-3")["removed"]
    assert len(gone) == len(second["names"])
    assert not (looks / "look-3").exists()
    (looks / "look-2" / "matched_look.cc").write_text("changed by hand")
    window.refused("api/renders/take-away", 409, name="look-2")
    assert len([*(looks / "look-2").iterdir()]) == len(first["names"])
    window.refused("api/renders/take-away", 404, name="look-1")  # not of this desk
    window.refused("api/renders/take-away", 404, name="../../tea.gltf")
    assert (looks / "look-1" / "matched_look.cc").read_text() == "mine"
    assert [one["name"] for one in window.get("api/renders")["saved"]] == ["look-2"]


@pytest.mark.parametrize("adjust", [[0.0, 1.0], [0.0] * 4, [0.0, 1.0, 99.0]])
def test_numbers_that_cannot_be_are_refused(kept_match: tuple[Window, str], adjust: list[float]):
    window, key = kept_match
    window.refused("api/renders/save", 400, key=key, adjust=adjust)


def test_nobody_says_the_old_view(kept_scene: Path, paths: tuple[Path, Path]):
    with window_on(kept_scene, survey_of(kept_scene), paths, in_old="lin_rec709_scene") as window:
        key = window.get("api/renders")["key"]
        words = window.refused("api/renders/fit", 400, key=key)
        assert "Nobody says which view" in words
        window.refused("api/renders/save", 404, key=key, adjust=NUMBERS)
        window.refused("api/renders/fit", 409, key="0" * 20)


def test_old_corrections_are_in_the_picture(
    kept_scene: Path, tmp_path: Path, paths: tuple[Path, Path]
):
    # a stop up: ASC CDL v1.2, slope 2 on linear light
    cdl = tmp_path / "up.cc"
    cdl.write_text(
        '<ColorCorrection id="up"><SOPNode><Slope>2 2 2</Slope><Offset>0 0 0</Offset>'
        "<Power>1 1 1</Power></SOPNode></ColorCorrection>"
    )
    said = {
        **SAID,
        "corrections": str(cdl),
        "corrections_in": "lin_rec709_scene",
        "corrections_clamp": False,
    }
    survey = survey_of(kept_scene)
    with (
        window_on(kept_scene, survey, paths, **said) as window,
        window_on(kept_scene, survey, paths, **SAID) as plain,
    ):
        key, bare = (one.get("api/renders")["key"] for one in (window, plain))
        corrected = window.get("api/renders/pixel", key=key, x=20, y=9)["old"]["display"]
        exposed = plain.get("api/renders/pixel", key=bare, x=20, y=9, stops=1)["old"]["display"]
        assert corrected == pytest.approx(exposed, abs=1e-5)
        assert "up.cc" in window.get("api/renders")["how"]["old"]
        assert window.get("api/renders/comparison", key=key)["pixels"] > 0


def test_a_fit_tells_how_far_it_is_and_can_be_stopped(paths: tuple[Path, Path]):
    told: list[tuple[int, int]] = []
    workflow.match(*paths, **VERB, progress=lambda done, of, *_: told.append((done, of)))
    assert told == [(n, 6) for n in range(1, 7)]  # read twice, then four steps

    def stop(done: int, of: int, *_: int) -> None:
        if done == 3:
            raise RefusedError("Stopped.", "")

    with pytest.raises(RefusedError):
        workflow.match(*paths, **VERB, progress=stop)


def test_a_fit_is_stopped_from_the_page(
    kept_scene: Path, paths: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
):
    with window_on(kept_scene, survey_of(kept_scene), paths, **SAID) as window:
        tell = window.desk.events.tell
        told: list[str] = []

        def stop_at_once(event: str, **facts: object) -> None:
            told.append(event)
            if event == "progress":
                assert window.post("api/cancel") == {"job": "match"}
            tell(event, **facts)

        monkeypatch.setattr(window.desk.events, "tell", stop_at_once)
        key = window.get("api/renders")["key"]
        assert "stopped" in window.refused("api/renders/fit", 409, key=key)
        assert (*told[:2], told[-1]) == ("began", "progress", "failed")
        assert window.get("api/renders")["match"] is None


def test_a_fit_waits_for_no_other_work(kept_match: tuple[Window, str]):
    window, key = kept_match
    go, there = threading.Event(), threading.Event()

    def hold(_: object) -> None:
        there.set()
        go.wait(60)

    other = threading.Thread(target=window.desk.work.run, args=("survey", hold))
    other.start()
    assert there.wait(60)
    try:
        assert "survey" in window.refused("api/renders/fit", 409, key=key)
    finally:
        go.set()
        other.join()


def _query(numbers: list[float]) -> str:
    return ",".join(repr(number) for number in numbers)


def _as_json(document: object) -> object:
    return json.loads(json.dumps(document))
