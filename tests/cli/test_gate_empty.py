"""A target in which there is nothing to judge does not pass, unless that is said to be right."""

from __future__ import annotations

import json
import shlex
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.reading.worlds import sheet
from tests.scenes import builders as b

from primecoat.cli.main import run


def folder(at: Path) -> Path:
    """An empty folder, with a space in its name."""
    (at / "wrong path").mkdir()
    return at / "wrong path"


def text_only(at: Path) -> Path:
    (folder(at) / "readme.txt").write_text("tea set")
    return at / "wrong path"


def bare(at: Path) -> Path:
    (at / "tea.gltf").write_text('{"asset": {"version": "2.0"}}')
    return at / "tea.gltf"


MAKERS: list[Callable[[Path], Path]] = [folder, text_only, bare]


@pytest.mark.parametrize("make", MAKERS)
def test_nothing_to_judge_keeps_it_closed(
    make: Callable[[Path], Path], tmp_path: Path, monkeypatch, capsys
):
    """In words, as a document and as JUnit XML; and open where that was said to be right."""
    target = make(tmp_path)
    monkeypatch.chdir(tmp_path)
    assert run(["gate", str(target), "--junit", "gate.xml"]) == 1
    printed = capsys.readouterr().out
    assert f"There is nothing to judge: {shlex.quote(target.name)} holds no image" in printed
    assert "--may-be-empty" in printed
    assert printed.endswith("The gate is closed.\n")
    assert ET.parse("gate.xml").getroot().attrib["failures"] == "1"
    assert run(["gate", str(target), "--json"]) == 1
    document = json.loads(capsys.readouterr().out)
    assert (document["open"], document["explicit"]) == (False, 0)
    assert [held["where"] for held in document["left"]] == [target.name]
    assert run(["gate", str(target), "--may-be-empty"]) == 0
    printed = capsys.readouterr().out
    assert printed == "It holds no image, colour or light.\nThe gate is open.\n"


def test_one_is_one(tmp_path: Path, capsys):
    """A single image is told of in the singular, alone and beside one that is a guess."""
    (tmp_path / "cup_data.png").write_bytes(b.png(3, "uint8"))
    assert run(["gate", str(sheet(tmp_path, "cup_data.png,x,roughness,,,"))]) == 0
    assert capsys.readouterr().out.startswith("1 image or colour is explicit.\n")
    more = sheet(tmp_path, "cup_data.png,x,roughness,,,", ",x,base_color,,,0.5 0.4 0.3")
    assert run(["gate", str(more)]) == 1
    assert "1 image or colour is explicit, 1 is left to a guess:" in capsys.readouterr().out
