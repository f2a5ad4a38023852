"""What a survey and the story of an image tell of every part and layer of a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.images.parts import one_part, several

KEYS = {
    "name",
    "index",
    "channels",
    "pixel_types",
    "main",
    "reading",
    "standing",
    "confidence",
    "candidates",
    "evidence",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    several(
        tmp_path / "set.exr",
        ("beauty", "R G B A", {"colorInteropID": "lin_ap1_scene"}),
        ("normal", "R G B", {"colorInteropID": "data"}),
        ("steam", "R G B Z:float", {}),
    )
    one_part(tmp_path / "cup.exr", "R G B left.R left.G left.B", multiView=["right", "left"])
    one_part(tmp_path / "jug.exr", "R G B A")
    return tmp_path


def test_survey_lists_every_part(folder: Path, terminal: Terminal):
    document = terminal("survey", folder, "--json").document
    images = {image["path"]: image for image in document["images"]}
    assert images["jug.exr"]["parts"] == []
    parts = images["set.exr"]["parts"]
    assert [(p["index"], p["name"], p["channels"], p["reading"]) for p in parts] == [
        (0, "beauty", ["R", "G", "B", "A"], "lin_ap1_scene"),
        (1, "normal", ["R", "G", "B"], "data"),
        (2, "steam", ["R", "G", "B"], "unknown"),
        (2, "steam", ["Z"], "data"),
    ]
    assert all(set(part) >= KEYS for part in parts)
    (main,) = (part for part in parts if part["main"])
    shared = ("reading", "standing", "confidence", "candidates", "evidence")
    assert {key: main[key] for key in shared} == {key: images["set.exr"][key] for key in shared}
    assert parts[3]["pixel_types"] == ["float"]
    assert images["set.exr"]["header"]["parts"] == 3
    assert images["set.exr"]["header"]["levels"] == 1


def test_layers_and_views_are_named(folder: Path, terminal: Terminal):
    (image,) = (
        i for i in terminal("survey", folder, "--json").document["images"] if i["path"] == "cup.exr"
    )
    assert [(p["view"], p.get("layer"), p["index"]) for p in image["parts"]] == [
        ("right", None, 0),
        ("left", None, 0),
    ]


def test_a_second_survey_says_the_same(folder: Path, terminal: Terminal):
    """Parts come back from the cache of measures as they went in."""
    first = terminal("survey", folder, "--json").out
    assert (folder / ".primecoat" / "measures.jsonl").exists()
    assert terminal("survey", folder, "--json").out == first


def test_why_tells_each_part(folder: Path, terminal: Terminal):
    told = terminal("why", "set.exr", "--in", folder).out.splitlines()
    rows = {
        number: next(line for line in told if line.startswith(f"{number} "))
        for number in ("0 beauty", "1 normal", "2 steam")
    }
    assert "lin_ap1_scene" in rows["0 beauty"]
    assert "data" in rows["1 normal"]
    assert "colorInteropID is data" in " ".join(told)
    assert "unknown" in rows["2 steam"]
    plain = terminal("why", "jug.exr", "--in", folder).out
    assert "channels" not in plain


def test_names_from_a_file_are_printable(tmp_path: Path, terminal: Terminal):
    """A part's name is a stranger's text: no control character reaches the terminal."""
    several(tmp_path / "set.exr", ("a", "R G B", {}), ("b\x1b[2Jx", "R G B", {}))
    assert "\x1b" not in terminal("why", "set.exr", "--in", tmp_path).out
    assert "\x1b" not in terminal("survey", tmp_path, "--json").out
