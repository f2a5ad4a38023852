"""``primecoat card`` as a person or a script runs it."""

from __future__ import annotations

import json

import numpy as np
import pytest
from tests.cli.terminal import Terminal
from tests.proof.card_rays import trace
from tests.proof.card_renderer import ACES_1, Program, render, write
from tests.proof.loaded_card import load_card

import primecoat
from primecoat.images.oiio import write_pixels
from primecoat.proof.card.inputs import INPUTS


@pytest.fixture
def terminal(capsys, monkeypatch):
    monkeypatch.delenv("OCIO", raising=False)
    return Terminal(capsys)


@pytest.fixture(scope="module")
def renders(card_folder, tmp_path_factory):
    """A right picture in light, and one through a view with a misread normal map."""
    card = load_card(card_folder)
    met = trace(card, "straight")
    folder = tmp_path_factory.mktemp("renders")
    right = Program(name="right", working="ap1")
    read = {"normal_map": "srgb_rec709_scene"}
    bent = Program(name="bent", working="rec709", view=ACES_1, eight_bit=True, read=read)
    return [str(write(folder, p, render(card, met, p, seed=5))) for p in (right, bent)]


def test_write_lists_files_and_refuses_a_full_folder(terminal, tmp_path):
    folder = tmp_path / "card"
    first = terminal("card", "write", str(folder), "--json")
    assert first.code == 0
    record = first.document
    assert record["document"] == "primecoat.card_record/1"
    assert record == json.loads((folder / "card.json").read_text("utf-8"))
    second = terminal("card", "write", str(folder))
    assert (second.code, second.out) == (2, "")
    assert "nothing was written" in second.err


def test_document_of_a_right_render(terminal, renders):
    found = terminal("card", "read", renders[0], "--in", "ACEScg", "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    assert document["document"] == "primecoat.card/1"
    assert document["ready"] is True
    assert document["view"] == {
        "baked": False,
        "names": [],
        "config": None,
        "standing": "settled",
        "confidence": pytest.approx(1.0, abs=1e-3),
        "candidates": [
            {
                "names": [{"display": "", "view": "none"}],
                "confidence": pytest.approx(1.0, abs=1e-3),
            }
        ],
    }
    assert document["working_space"]["reading"] == "lin_ap1_scene"
    assert [one["key"] for one in document["inputs"]] == list(INPUTS)
    assert all(one["as_made"] and not one["remedy"] for one in document["inputs"])


def test_document_of_a_misread_normal_map(terminal, renders):
    found = terminal("card", "read", renders[1], "--json")
    assert found.code == 1
    document = found.document
    assert document["view"]["baked"] is True
    assert {"display": "sRGB - Display", "view": "ACES 1.0 - SDR Video"} in document["view"][
        "names"
    ]
    assert document["working_space"]["reading"] == "lin_rec709_scene"
    [wrong] = [one for one in document["inputs"] if not one["as_made"]]
    assert (wrong["key"], wrong["reading"]) == ("normal_map", "srgb_rec709_scene")
    assert "as data" in wrong["remedy"]


def test_views_can_be_named(terminal, renders):
    named = terminal("card", "read", renders[1], "--view", "ACES 1.0 - SDR Video", "--json")
    assert json.loads(named.out)["view"]["baked"] is True
    other = terminal("card", "read", renders[1], "--view", "none", "--json")
    assert other.code == 1
    assert json.loads(other.out)["view"]["standing"] == "unknown"
    absent = terminal("card", "read", renders[1], "--view", "moonlight")
    assert absent.code == 2
    assert "ACES 1.0 - SDR Video" in absent.err


def test_wrong_use(terminal, renders, tmp_path):
    assert terminal("card", "read", renders[0], "--in", "moonlight").code == 2
    assert terminal("card", "read", str(tmp_path / "none.exr")).code == 2


@pytest.mark.parametrize("kind", ["black", "noise", "stripes", "grey"])
def test_a_picture_without_the_card_is_refused(terminal, tmp_path, kind):
    chance = np.random.default_rng(4)
    picture = np.zeros((120, 160, 3), np.uint8)
    if kind == "noise":
        picture = chance.integers(0, 256, picture.shape, np.uint8)
    elif kind == "stripes":
        picture[20:100:10] = 255
    elif kind == "grey":
        picture = picture[..., :1]
    write_pixels(tmp_path / "plate.png", picture)
    found = terminal("card", "read", str(tmp_path / "plate.png"))
    assert (found.code, found.out) == (2, "")


def test_the_same_from_a_script(renders):
    found = primecoat.read_card(renders[0], space="lin_ap1_scene")
    assert found.ready
    assert found.working[0].reading == "lin_ap1_scene"
