"""After a run, the sheet of a folder lists what counts, as the gate does, and a survey says so."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.cli.main import run
from primecoat.reading.decisions import record_decision


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch) -> Path:
    """A folder with two pictures in a scene, and one whose name says already how to read it."""
    monkeypatch.chdir(tmp_path)
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    for name in ("cup.png", "jug.png", "pot_srgb_rec709_scene.png"):
        (shelf / name).write_bytes(b.png())
    images = [{"uri": path.name} for path in sorted(shelf.iterdir())]
    materials = [
        {"name": name, "pbrMetallicRoughness": {"baseColorTexture": {"index": number}}}
        for number, name in enumerate(("celadon", "shino", "tenmoku"))
    ]
    b.write_gltf(shelf / "cups.gltf", b.gltf(images, materials))
    for name in ("cup.png", "jug.png"):
        record_decision(shelf, name, "srgb_rec709_scene", "painted so")
    return shelf


def listed(folder: Path) -> list[tuple[str, str]]:
    text = workflow.sheet(workflow.survey(folder))
    rows = csv.DictReader(io.StringIO(text))
    return [(row["path"], row["owner"]) for row in rows if row["section"] == "images"]


def test_each_use_is_listed_once_by_its_new_name(shelf: Path, capsys):
    before = listed(shelf)
    assert [path for path, _ in before] == ["cup.png", "jug.png", "pot_srgb_rec709_scene.png"]
    assert run(["plan", "shelf"]) == 0
    assert run(["apply", "plan.json"]) == 0
    after = listed(shelf)
    assert [owner for _, owner in after] == [owner for _, owner in before]
    assert all("srgb_rec709_scene" in path for path, _ in after)
    page = workflow.sheet(workflow.survey(shelf), html=True)
    assert "cup_srgb_rec709_scene.png" in page
    assert "cup.png" not in page
    capsys.readouterr()
    run(["survey", "shelf"])
    said = " ".join(capsys.readouterr().out.split())
    assert "5 images: " in said
    assert "2 of them are originals that other files of this folder took the place of" in said
    assert run(["gate", "shelf"]) == 0
    assert run(["undo", "plan.json"]) == 0
    assert listed(shelf) == before
    capsys.readouterr()
    run(["survey", "shelf"])
    assert "originals" not in capsys.readouterr().out


def test_a_report_lists_the_same_and_opens_as_the_gate_does(shelf: Path):
    run(["plan", "shelf"])
    run(["apply", "plan.json"])
    survey = workflow.survey(shelf)
    told = json.loads(workflow.report(survey, form="json"))
    rows = [row for row in told["settings"] if row["section"] == "images"]
    assert [(row["path"], row["owner"]) for row in rows] == listed(shelf)
    assert told["ready"] is True
    page = workflow.report(survey)
    by_hand = page[page.index("What do I set by hand?") :]
    assert f"{len(rows)} settings to enter" in by_hand


def test_of_a_scene_everything_it_uses_is_listed(shelf: Path):
    """The old scene, named, is still told as it is."""
    run(["plan", "shelf"])
    run(["apply", "plan.json"])
    assert [path for path, _ in listed(shelf / "cups.gltf")] == [
        "cup.png", "jug.png", "pot_srgb_rec709_scene.png"
    ]  # fmt: skip
