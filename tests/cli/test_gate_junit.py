"""The gate's results as JUnit XML, read back as XML."""

from __future__ import annotations

import json
import re
import shlex
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import yaml
from tests.reading.worlds import sheet
from tests.scenes import builders as b

from primecoat.cli.main import run
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.scenes.registry import SUFFIXES

HOOKS = Path(__file__).parents[2] / ".pre-commit-hooks.yaml"


@pytest.fixture
def scene(tmp_path: Path, monkeypatch) -> Path:
    """One explicit picture, one that is a guess, one that is gone, and a colour in no space."""
    monkeypatch.chdir(tmp_path)
    for name in ("cup_data.png", "bowl_color.png", "<&\u202e>_data.png"):
        (tmp_path / name).write_bytes(b.png(3, "uint8"))
    return sheet(
        tmp_path,
        "cup_data.png,x,roughness,,,",
        "<&\u202e>_data.png,x,roughness,,,",
        "bowl_color.png,x,base_color,,,",
        "gone.png,x,base_color,,,",
        ",x,base_color,,,0.5 0.4 0.3",
    )


def results(file: Path) -> list[ET.Element]:
    return ET.parse(file).getroot().findall("testsuite")


def test_results_say_what_the_document_says(scene: Path, capsys):
    """Explicit is passed, left to a guess is failed, as are findings that close the gate."""
    assert run(["gate", str(scene), "--json", "--junit", "gate.xml"]) == 1
    document = json.loads(capsys.readouterr().out)
    [suite] = results(Path("gate.xml"))
    cases = {
        (case.attrib["classname"], case.attrib["name"]): case.find("failure")
        for case in suite.iter("testcase")
    }
    failed = {
        name for (kind, name), result in cases.items() if kind == "explicit" and result is not None
    }
    assert failed == {held["where"] for held in document["left"]}
    assert sum(k == "explicit" and r is None for (k, _), r in cases.items()) == document["explicit"]
    grave = [f for f in document["findings"] if f["severity"] == "error"]
    told = {name for (kind, name) in cases if kind != "explicit"}
    assert told == {f"{f['code']} {f['where']}" for f in grave}
    assert ("explicit", "<&\\u202e>_data.png") in cases
    for failure in cases.values():
        assert failure is None or (failure.attrib["message"] and failure.text)
    counted = {"tests": len(cases), "failures": len(document["left"]) + len(grave), "errors": 0}
    for element in (suite, ET.parse("gate.xml").getroot()):
        assert {key: int(element.attrib[key]) for key in counted} == counted
    properties = {p.attrib["name"]: p.attrib["value"] for p in suite.iter("property")}
    assert properties["config"] == DEFAULT_CONFIG


def test_several_targets_are_several_suites(scene: Path, tmp_path: Path, capsys):
    other = sheet(tmp_path, "cup_data.png,x,roughness,,,", name="t.csv")
    assert run(["gate", str(other)]) == 0
    assert run(["gate", str(other), str(scene), "--junit", "gate.xml"]) == 1
    printed = capsys.readouterr()
    assert [suite.attrib["name"] for suite in results(Path("gate.xml"))] == [str(other), str(scene)]
    assert printed.out.count("The gate is open.") == 2
    assert printed.out.count("The gate is closed.") == 1
    assert run(["gate", str(other), str(scene), "--json"]) == 2


def test_results_are_written_over_results_only(scene: Path, capsys):
    """A second run replaces the first; nothing else is ever written over."""
    for _ in range(2):
        run(["gate", str(scene), "--junit", "gate.xml"])
    before = scene.read_bytes()
    assert run(["gate", str(scene), "--junit", str(scene)]) == 2
    assert scene.read_bytes() == before
    assert run(["gate", str(scene), "--junit", "gone/gate.xml"]) == 2
    assert "holds no results of ours" in capsys.readouterr().err


def test_nesting_is_that_of_the_form(scene: Path):
    """Elements stand where readers of JUnit XML look for them (common practice, no source)."""
    run(["gate", str(scene), "--junit", "gate.xml"])
    root = ET.parse("gate.xml").getroot()
    assert root.tag == "testsuites"
    below = {"testsuites": {"testsuite"}, "testsuite": {"properties", "testcase", "system-out"},
             "properties": {"property"}, "testcase": {"failure"}}  # fmt: skip
    for element in root.iter():
        assert {child.tag for child in element} <= below.get(element.tag, set())


def test_hooks_run_the_gate_on_what_they_are_given(scene: Path, tmp_path: Path):
    """Each hook's entry runs as it stands, with file names behind it, and takes scenes only."""
    hooks = {hook["id"]: hook for hook in yaml.safe_load(HOOKS.read_text(encoding="utf-8"))}
    assert set(hooks) == {"primecoat-gate", "primecoat-gate-named"}
    other = sheet(tmp_path, "cup_data.png,x,roughness,,,", name="t.csv")
    for hook in hooks.values():
        program, *arguments = shlex.split(hook["entry"])
        assert program == "primecoat"
        assert run([*arguments, str(other)]) == 0
        assert run([*arguments, str(other), str(scene)]) == 1
    takes = re.compile(hooks["primecoat-gate"]["files"])
    wanted = {suffix for suffix in SUFFIXES if suffix != ".csv"}
    assert {suffix for suffix in SUFFIXES if takes.search(f"shots/tea{suffix.upper()}")} == wanted
    assert not takes.search("tea.gltf.bak")
