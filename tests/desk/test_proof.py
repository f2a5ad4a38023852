"""The proof at the desk: traced, shown, stopped, kept, and told apart from the state after it."""

from __future__ import annotations

import shutil
import struct
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.desk.windows import Window

from primecoat import workflow
from primecoat.desk.held import build_desk
from primecoat.desk.proofs import Proofs
from primecoat.desk.session import Asked
from primecoat.proof.paths.outcome import SoFar

SEEN = {"display": "sRGB - Display", "view": "ACES 2.0 - SDR 100 nits (Rec.709)"}
SMALL = {"width": 32, "height": 18, "samples": 8, **SEEN}


def opened(scene: Path) -> Window:
    return Window(build_desk(Asked(target=scene), workflow.survey(scene)))


@pytest.fixture(scope="module")
def traced(kept_scene: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Window]:
    """A desk where a small proof was traced."""
    scene = tmp_path_factory.mktemp("proof") / "tea"
    shutil.copytree(kept_scene, scene)
    with opened(scene / "tea.gltf") as window:
        before = window.get("api/proof")
        assert (before["proof"], before["current"], before["coming"]) == (None, False, False)
        assert window.ask("proof/old").status_code == 404
        window.post("api/proof", version=1, **SMALL)
        yield window


def test_document_and_pictures(traced: Window):
    state = traced.get("api/proof")
    found = state["proof"]
    assert state["current"]
    assert (found["document"], found["width"], found["kept"]) == ("primecoat.proof/1", 32, False)
    assert (found["view"], found["match"]) == (SEEN["view"], None)
    shown = [one for one in found["causes"]["causes"] if one["shown"]]
    names = ["old", "new", "spectral", "change", "working-space"]
    names += [f"cause-{n}-{which}" for n in range(1, len(shown) + 1) for which in ("alone", "last")]
    for name in names:
        answer = traced.ask(f"proof/{name}")
        assert (answer.status_code, answer.headers["content-type"]) == (200, "image/png"), name
        assert answer.content[1:4] == b"PNG"
        assert struct.unpack(">II", answer.content[16:24]) == (32, 18)  # IHDR of PNG, 11.2.1
    for name in ("cause-0-alone", f"cause-{len(shown) + 1}-last", "cause-1-first", "..%2Fold"):
        assert traced.ask(f"proof/{name}").status_code in (400, 404), name


def test_same_is_read_back_and_another_state_is_told_apart(traced: Window, tmp_path: Path):
    first = traced.get("api/proof")["proof"]
    folder = shutil.copytree(traced.desk.session.asked.target.parent, tmp_path / "elsewhere")
    with opened(folder / "tea.gltf") as second:
        state = second.get("api/proof")
        assert (state["current"], state["proof"]["kept"]) == (True, True)
        assert {**state["proof"], "kept": False} == first
        again = second.post("api/proof", version=1, **SMALL)["proof"]
        assert again == state["proof"]
        odd = second.ids()["maps/odd.png"]
        second.post("api/decide", version=1, ids=[odd], reading="srgb_p3d65_scene", because="")
        after = second.get("api/proof")
        assert (after["current"], after["proof"]["noise"]) == (False, first["noise"])
        words = second.refused("api/proof", 409, version=1, **SMALL)
        assert "changed since" in words


@pytest.mark.parametrize(
    "wrong",
    [{"width": 5000}, {"samples": 0}, {"view": "No such view"}, {"causes": -1}, {"path": "x"}],
)
def test_wrong_orders(traced: Window, wrong: dict[str, object]):
    version = traced.desk.session.state.version
    answer = traced.send("api/proof", {"version": version, **SMALL, **wrong})
    assert answer.status_code in (400, 422), answer.text


def test_stopped_while_pictures_come(window: Window, monkeypatch: pytest.MonkeyPatch):
    """Pictures can be had after the first batches; after a stop there are none."""
    told: list[int] = []
    there, looked = threading.Event(), threading.Event()
    real = Proofs._take_so_far

    def waiting(proofs: Proofs, pictures: SoFar) -> None:
        real(proofs, pictures)
        there.set()
        assert looked.wait(60)

    monkeypatch.setattr(Proofs, "_take_so_far", waiting)
    order = {"version": 1, **SMALL, "width": 64, "height": 36, "samples": 80}
    asking = threading.Thread(
        target=lambda: told.append(window.send("api/proof", order).status_code)
    )
    asking.start()
    assert there.wait(60)
    state = window.get("api/proof", brief=True)
    picture = window.ask("proof/new")
    assert window.post("api/cancel")["job"] == "proof"
    looked.set()
    asking.join(60)
    assert (state["coming"], state["job"], state["proof"]) == (True, "proof", None)
    assert picture.status_code == 200
    assert told == [409]
    assert window.ask("proof/new").status_code == 404
    assert window.get("api/proof")["proof"] is None
