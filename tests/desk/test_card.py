"""The test card at the desk: where it is written, which renders can be read, what they tell."""

from __future__ import annotations

import io
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import OpenImageIO as oiio
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.desk.renders_desk import AP1, seen, survey_of
from tests.desk.windows import Window
from tests.proof.card_rays import trace
from tests.proof.card_renderer import Program, render, write
from tests.proof.loaded_card import load_card
from tests.proof.test_card_page import EXAMPLE, PICTURE

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW
from primecoat.desk.held import build_desk
from primecoat.desk.session import Asked
from primecoat.proof.card.inputs import INPUTS

SEEN = {"display": DEFAULT_DISPLAY, "view": DEFAULT_VIEW}


def contents(folder: Path) -> dict[str, bytes]:
    """Return the bytes of all files below a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(scope="module")
def card(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The card as the command writes it."""
    folder = tmp_path_factory.mktemp("card") / "card"
    workflow.write_card(folder)
    return folder


@pytest.fixture(scope="module")
def light(card: Path) -> Path:
    """A render in scene-referred light that says nothing of its space."""
    program = Program(name="light", working="ap1", say=False, noise=0.0)
    loaded = load_card(card)
    return write(card.parent, program, render(loaded, trace(loaded, "straight"), program, seed=3))


@pytest.fixture(scope="module")
def reading(kept_scene: Path, light: Path, tmp_path_factory: pytest.TempPathFactory) -> Window:
    """A window of a desk that was opened with renders, one of them no card, one not there."""
    folder = tmp_path_factory.mktemp("named")
    (folder / "broken.png").write_bytes(PICTURE.read_bytes()[:4000])
    shutil.copy(kept_scene / "maps" / "cup.png", folder / "cup.png")
    named = (PICTURE, light, folder / "cup.png", folder / "broken.png", folder / "none.exr")
    asked = Asked(target=kept_scene / "tea.gltf", cards=tuple(map(str, named)))
    return Window(build_desk(asked, survey_of(kept_scene / "tea.gltf")))


def ids(window: Window) -> dict[str, str]:
    return {one["name"]: one["id"] for one in window.get("api/card")["renders"]}


def test_it_is_written_as_the_command_does_into_a_folder_that_was_named_before(
    window: Window, scene: Path, card: Path
):
    before = contents(scene.parent)
    (scene.parent / "test-card_2").write_bytes(b"notes on the glaze")
    told = window.get("api/card")
    assert (told["next"]["name"], told["written"], told["renders"]) == ("test-card", [], [])
    assert told["next"]["folder"] == str(scene.parent / "test-card")
    made = window.post("api/card/write", folder="test-card")
    assert made["next"]["name"] == "test-card_3"
    written = contents(scene.parent / "test-card")
    assert written == contents(card)
    assert set(made["made"]["files"]) == set(written)
    assert made["made"]["cannot"]["card.csv"]
    after = contents(scene.parent)
    assert {name: after[name] for name in before} == before
    assert after["test-card_2"] == b"notes on the glaze"
    # a window that shows the state before
    words = window.refused("api/card/write", 409, folder="test-card")
    assert "nothing was written" in words
    assert contents(scene.parent) == after


@pytest.mark.parametrize(
    "body",
    [
        *({"folder": name} for name in ("../x", "/srv/x", "", "test-card/../../x", "tea.gltf")),
        *({}, {"folder": 1}, {"folder": "test-card", "out": "/srv/x"}, {"folder": "x" * 201}),
    ],
)
def test_a_page_cannot_choose_where_it_is_written(
    kept_window: Window, kept_scene: Path, body: dict[str, object]
):
    before = sorted(kept_scene.parent.rglob("*"))
    assert kept_window.send("api/card/write", body).status_code in (400, 409)
    assert sorted(kept_scene.parent.rglob("*")) == before


@pytest.fixture
def folder_window(scene: Path) -> Iterator[Window]:
    """A window of a desk on a folder."""
    with Window(build_desk(Asked(target=scene.parent), workflow.survey(scene.parent))) as opened:
        yield opened


def test_beside_a_folder_no_survey_takes_it_for_a_scene(folder_window: Window, scene: Path):
    before = folder_window.get("api/images")["rows"]
    told = folder_window.get("api/card")
    assert told["next"]["folder"] == str(scene.parent / ".primecoat" / "cards" / "test-card")
    made = folder_window.post("api/card/write", folder="test-card")
    assert Path(made["made"]["folder"], "card.usda").is_file()
    shutil.copy(PICTURE, Path(made["made"]["folder"], "first.png"))
    assert ids(folder_window) == {"first.png": folder_window.get("api/card")["renders"][0]["id"]}
    folder_window.post("api/survey")
    assert folder_window.get("api/images")["rows"] == before


def test_a_state_folder_that_leads_away_is_not_written_to(
    folder_window: Window, scene: Path, tmp_path: Path
):
    (tmp_path / "elsewhere").mkdir()
    state = scene.parent / ".primecoat"
    state.mkdir(exist_ok=True)
    (state / "cards").symlink_to(tmp_path / "elsewhere")
    words = folder_window.refused("api/card/write", 409, folder="test-card")
    assert "link" in words
    assert not list((tmp_path / "elsewhere").iterdir())


def test_renders_beside_a_card_are_found_and_no_others(window: Window, scene: Path, light: Path):
    folder = Path(window.post("api/card/write", folder="test-card")["made"]["folder"])
    assert window.get("api/card")["renders"] == []  # its own pictures are none
    shutil.copy(PICTURE, folder / "room one.png")
    (folder / "away.exr").symlink_to(light)
    (folder / "notes.txt").write_text("kiln at 1240")
    assert list(ids(window)) == ["room one.png"]
    found = window.get("api/card/read", render=ids(window)["room one.png"])
    shutil.copy(light, folder / "room one.png")  # the same name, another picture
    again = window.get("api/card/read", render=ids(window)["room one.png"])
    assert found["key"] != again["key"]


def test_what_a_render_tells_is_what_the_program_did(reading: Window):
    found = reading.get("api/card/read", render=ids(reading)["test-card.png"])
    assert found["document"] == "primecoat.card/1"
    assert not found["ready"]
    told = {one["key"]: one for one in found["inputs"]}
    assert list(told) == list(INPUTS)
    wrong = {key: one["reading"] for key, one in told.items() if not one["as_made"]}
    assert wrong == EXAMPLE.read  # how the program that made the picture was set
    assert all(told[key]["remedy"] and "made as" in told[key]["read_words"] for key in wrong)
    assert found["words"]["working"] == "lin_ap1_scene"
    assert EXAMPLE.view is not None
    assert EXAMPLE.view[2] in found["words"]["view"][0]
    assert found["view"]["baked"] is True


def test_the_picture_and_the_marks_lie_on_each_other(reading: Window):
    found = reading.get("api/card/read", render=ids(reading)["test-card.png"])
    answer = reading.ask(f"picture/card/{found['key']}", **SEEN)
    shown = pixels(answer.content)
    assert np.array_equal(shown, np.asarray(Image.open(PICTURE).convert("RGB")))
    assert sum(map(len, found["marks"].values())) > 30
    for one in found["inputs"]:
        outlines = found["marks"][one["key"]]
        if len(outlines) != len(one["seen"]):
            continue  # pictures of four fields
        for outline, value in zip(outlines, one["seen"], strict=True):
            x, y = np.mean(outline, axis=0)
            assert shown[int(y), int(x)] == pytest.approx(255 * np.array(value), abs=3), one["key"]


def test_light_is_shown_through_the_view_once_its_space_is_known(reading: Window, light: Path):
    id = ids(reading)[light.name]
    found = reading.get("api/card/read", render=id, **{"in": "lin_ap1_scene", "view": "none"})
    assert (found["ready"], found["view"]["baked"]) == (True, False)
    shown = pixels(reading.ask(f"picture/card/{found['key']}", **SEEN).content)
    values = light_of(light)
    # OpenColorIO alone
    assert np.abs(shown - np.rint(255 * np.clip(seen(values, AP1), 0, 1))).max() <= 1
    unknown = reading.get("api/card/read", render=id, view="ACES 1.0 - SDR Video")
    assert unknown["view"]["baked"] is None
    assert unknown["words"]["working"] == "unknown"


def light_of(path: Path) -> NDArray[np.float32]:
    return np.asarray(oiio.ImageBuf(str(path)).get_pixels(oiio.FLOAT))[..., :3]


def pixels(png: bytes) -> NDArray[np.int64]:
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), np.int64)


@pytest.mark.parametrize(
    ("name", "said", "code", "words"),
    [
        ("cup.png", {}, 400, "There is no test card in cup.png"),
        ("broken.png", {}, 422, "broken.png"),
        ("none.exr", {}, 422, "none.exr"),
        ("test-card.png", {"in": "moonlight"}, 400, "no colour space 'moonlight'"),
        ("test-card.png", {"in": "data"}, 400, "no colour space 'data'"),
        ("test-card.png", {"view": "moonlight"}, 400, "ACES 1.0 - SDR Video"),
        ("/etc/passwd", {}, 404, "no such render"),
        ("", {}, 404, "no such render"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_way_forward(
    reading: Window, name: str, said: dict[str, str], code: int, words: str
):
    answer = reading.ask("api/card/read", render=ids(reading).get(name, name), **said)
    error = answer.json()["error"]
    assert (answer.status_code, error["code"]) == (code, code), error
    assert words in f"{error['what']} {error['remedy']}"
    assert error["remedy"]


def test_a_picture_needs_a_reading(reading: Window):
    assert reading.ask("picture/card/0000", **SEEN).status_code == 409
    found = reading.get("api/card/read", render=ids(reading)["test-card.png"])
    wrong = reading.ask(f"picture/card/{found['key']}", display="sRGB - Display", view="moonlight")
    assert wrong.status_code == 400
