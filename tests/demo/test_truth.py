from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from tests.schemas.checking import check_document

from primecoat.colour.ids import DATA, READINGS, UNKNOWN
from primecoat.demo.faults import CASE, FAULTS, LOW_RANGE, TWO_READINGS
from primecoat.documents import load
from primecoat.scenes.usd import door

Json = dict[str, Any]


@pytest.fixture
def truth(twin: Path) -> Json:
    return load(twin / "truth.json", "primecoat.truth/1")


def image(truth: Json, path: str) -> Json:
    return next(entry for entry in truth["images"] if entry["path"] == path)


def test_every_picture_of_the_scene_has_an_answer(twin: Path, truth: Json) -> None:
    document = json.loads((twin / "tea.gltf").read_text(encoding="utf-8"))
    with (twin / "tea.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    assert list(rows[0]) == ["path", "owner", "slot", "channels", "space", "value"]
    named = {entry["uri"] for entry in document["images"]} | {row["path"] for row in rows} - {""}
    if CASE.where in named:
        named = named - {CASE.where} | {CASE.surveyed}
    assert [entry["path"] for entry in truth["images"]] == sorted(named)


def test_every_file_on_disk_belongs_to_a_picture(twin: Path, truth: Json) -> None:
    named = {entry["path"].lower() for entry in truth["images"]}
    for path in (twin / "textures").iterdir():
        tile = path.name.replace(".1001.", ".<UDIM>.").replace(".1002.", ".<UDIM>.")
        assert f"textures/{tile}".lower() in named


def test_readings_are_words_of_the_vocabulary(truth: Json) -> None:
    for entry in truth["images"]:
        assert entry["reading"] in (*READINGS, UNKNOWN)
        assert entry["uses"]
        assert all(use["reading"] in (*READINGS, UNKNOWN) for use in entry["uses"])
    assert all(colour["reading"] in READINGS for colour in truth["colours"])


def test_clean_twin_leaves_nothing_to_guess(clean: Path) -> None:
    truth = load(clean / "truth.json", "primecoat.truth/1")
    check_document(truth)
    assert truth["clean"] is True
    assert truth["findings"] == truth["faults"] == []
    assert UNKNOWN not in {entry["reading"] for entry in truth["images"]}


def test_faulted_twin_names_each_fault(faulted: Path) -> None:
    truth = load(faulted / "truth.json", "primecoat.truth/1")
    assert truth["clean"] is False
    found = {(finding["code"], finding["where"]) for finding in truth["findings"]}
    assert found == {(fault.code, fault.surveyed) for fault in FAULTS}
    named = {entry["path"] for entry in truth["images"]}
    assert {fault["where"] for fault in truth["faults"]} <= named
    unknown = {entry["path"] for entry in truth["images"] if entry["reading"] == UNKNOWN}
    assert unknown == {LOW_RANGE.where, TWO_READINGS.where}


def test_colour_and_data_on_the_same_channel_conflict(faulted: Path) -> None:
    truth = load(faulted / "truth.json", "primecoat.truth/1")
    shared = image(truth, TWO_READINGS.where)
    assert {(use["slot"], use["reading"]) for use in shared["uses"]} == {
        ("base_color", "srgb_rec709_scene"),
        ("occlusion", DATA),
    }


@pytest.mark.parametrize(
    ("path", "reading", "content"),
    [
        ("textures/leaf_color.png", "srgb_rec709_scene", "base_color"),
        ("textures/cloth_sheen.png", "srgb_rec709_scene", "sheen_color"),
        ("textures/milk_jug_specular_glossiness.png", "srgb_rec709_scene", "specular_color"),
        ("textures/teapot_occlusion_roughness_metalness.png", DATA, "packed"),
        ("textures/teapot_normal.png", DATA, "normal"),
        ("textures/courtyard_environment.exr", "lin_rec709_scene", "environment"),
        ("textures/courtyard_backplate.jpg", "srgb_rec709_display", "backplate"),
        ("textures/oak_tray_color.<UDIM>.png", "srgb_rec709_scene", "base_color"),
        ("textures/wall_height.png", DATA, "height"),
    ],
)
def test_some_answers_by_hand(truth: Json, path: str, reading: str, content: str) -> None:
    entry = image(truth, path)
    assert (entry["reading"], entry["content"]) == (reading, content)


def test_colours_can_be_found_where_the_truth_says(twin: Path, truth: Json) -> None:
    document = json.loads((twin / "tea.gltf").read_text(encoding="utf-8"))
    with (twin / "tea.csv").open(encoding="utf-8", newline="") as text:
        lines = list(csv.reader(text))
    materials = ElementTree.parse(twin / "tea.mtlx")
    stage = door.Usd.Stage.Open(str(twin / "tea.usda"))
    for colour in truth["colours"]:
        if colour["scene"] == "tea.csv":
            cells = lines[int(colour["location"].removeprefix("row ")) - 1]
            assert [float(part) for part in cells[5].split()] == colour["value"]
            continue
        if colour["scene"] == "tea.mtlx":
            steps = colour["location"].split("/")[1:]
            element = materials.find("/".join(f"*[@name='{step}']" for step in steps))
            assert element is not None
            assert [float(p) for p in element.attrib["value"].split(",")] == colour["value"]
            continue
        if colour["scene"] == "tea.usda":
            attribute = stage.GetAttributeAtPath(colour["location"])
            rows = np.atleast_2d(np.array(attribute.Get(), dtype=np.float64))[:, :3]
            assert len(rows) == colour.get("count", 1)
            least = colour["min"] if "count" in colour else colour["value"]
            assert np.abs(rows.min(axis=0) - least).max() < 1e-6
            continue
        value: Any = document
        for step in colour["location"].split("/")[1:]:
            value = value[int(step)] if isinstance(value, list) else value[step]
        if "count" in colour:
            assert document["accessors"][value]["count"] == colour["count"]
        else:
            assert value[:3] == colour["value"]
