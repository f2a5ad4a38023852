"""The demo scene against its own truth: every fault found, every reading right, nothing more."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from tests.schemas.checking import check_document

from primecoat import workflow
from primecoat.report.survey_document import survey_document

Json = dict[str, Any]

NOTES = {("PC307", "textures/leaf_color.png"), ("PC307", "textures/pottery_logo.png")}
"""No faults: the two pictures that keep their colour where they are transparent, in both twins."""


@pytest.fixture(scope="module", params=[False, True], ids=["faulted", "clean"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of one twin of the demo."""
    written: Path = request.getfixturevalue("written_clean" if request.param else "written_faulted")
    return shutil.copytree(written, tmp_path_factory.mktemp("demo") / "tea")


@pytest.fixture(scope="module")
def truth(demo: Path) -> Json:
    """Return the known answers."""
    document: Json = json.loads((demo / "truth.json").read_text("utf-8"))
    return document


@pytest.fixture(scope="module", params=["scenes", "folder"])
def documents(request: pytest.FixtureRequest, demo: Path) -> list[Json]:
    """Return the survey documents of both scenes, or of the whole folder."""
    scenes = [demo / name for name in ("tea.gltf", "tea.mtlx", "tea.usda", "tea.csv")]
    targets = scenes if request.param == "scenes" else [demo]
    return [survey_document(workflow.survey(target)) for target in targets]


def test_documents_fit_their_schemas(documents: list[Json], truth: Json) -> None:
    """What is published about documents holds for all formats of scenes."""
    for document in (*documents, truth):
        check_document(document)


def test_every_planted_fault_is_found_and_nothing_else(documents: list[Json], truth: Json) -> None:
    """The findings are exactly the planted ones, and none in the clean twin; notes aside."""
    every = {(f["code"], f["where"]) for d in documents for f in d["findings"]}
    assert every >= NOTES
    found = every - NOTES
    assert found == {(f["code"], f["where"]) for f in truth["findings"]}
    assert truth["clean"] == (not found)


def test_every_reading_is_the_true_one(documents: list[Json], truth: Json) -> None:
    """Reading and content of each image, and reading of each use, equal the truth."""
    true = {i["path"]: i for i in truth["images"]}
    seen = [i for d in documents for i in d["images"]]
    assert {i["path"] for i in seen} == set(true)
    for image in seen:
        answer = true[image["path"]]
        assert (image["reading"], image["content"]) == (answer["reading"], answer["content"])
        wanted = {
            (u["scene"], u["owner"], u["slot"], u["channels"], u["reading"]) for u in answer["uses"]
        }
        for use in image["uses"]:
            key = tuple(use[k] for k in ("scene", "owner", "slot", "channels", "reading"))
            assert key in wanted


def test_every_colour_has_its_true_reading(documents: list[Json], truth: Json) -> None:
    """Each colour and light of the truth is found at its place with its value and reading."""
    seen = {c["location"]: c for d in documents for c in (*d["colours"], *d["lights"])}
    true = {f"{c['scene']}#{c['location']}": c for c in truth["colours"]}
    assert set(seen) == set(true)
    for place, colour in true.items():
        for key in set(colour) - {"scene", "location"}:
            expected = colour[key]
            found = seen[place][key]
            assert found == (pytest.approx(expected) if isinstance(expected, list) else expected)


def test_settled_is_never_wrong_and_unknown_stays_unknown(
    documents: list[Json], truth: Json
) -> None:
    """No settled reading differs from the truth; what nothing can tell has no reading."""
    true = {i["path"]: i["reading"] for i in truth["images"]}
    for image in (i for d in documents for i in d["images"]):
        if image["standing"] == "settled":
            assert image["reading"] == true[image["path"]]
        if true[image["path"]] == "unknown":
            assert image["standing"] in ("unknown", "conflicting")
