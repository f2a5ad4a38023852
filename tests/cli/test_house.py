"""House conventions at the command line: what they set, what comes before them, who is told."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path

import pytest
from tests.reading.worlds import sheet
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.cli.main import run
from primecoat.colour.ocio import DEFAULT_CONFIG

CG_CONFIG = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
HOUSE = f"""\
from = "lin_rec709_scene"
to = "lin_rec2020_scene"
config = "{CG_CONFIG}"
[slots]
"*_rgh" = "roughness"
[policy]
route = "declare"
closes_gate = ["PC107", "PC201"]
"""


@pytest.fixture
def scene(tmp_path: Path, monkeypatch) -> Path:
    monkeypatch.delenv("PRIMECOAT_HOUSE", raising=False)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bowl_rgh.png").write_bytes(b.png(1, "uint8"))
    (tmp_path / "primecoat.toml").write_text(HOUSE)
    return sheet(tmp_path, "bowl_rgh.png,x,roughness,,,", ",x,base_color,,,0.5 0.4 0.3")


def document(capsys, *arguments: object):
    run([*map(str, arguments), "--json"])
    return json.loads(capsys.readouterr().out)


def test_a_survey_applies_and_names_them(scene: Path, capsys):
    found = document(capsys, "survey", scene)
    assert (found["from"], found["to"]) == ("lin_rec709_scene", "lin_rec2020_scene")
    assert found["config"] == CG_CONFIG
    file = (scene.parent / "primecoat.toml").as_posix()
    assert (found["house"]["file"], found["house"]["named"]) == (file, False)
    assert found["house"]["overruled"] == []
    witnesses = {e["witness"] for image in found["images"] for e in image["evidence"]}
    assert "house" in witnesses
    run(["survey", str(scene)])
    printed = capsys.readouterr()
    assert f"House conventions {file}: from lin_rec709_scene, to lin_rec2020_scene" in " ".join(
        printed.out.split()
    )
    assert "house" not in printed.err


def test_the_command_line_comes_first_and_what_it_overrules_is_said(scene: Path, capsys):
    found = document(
        capsys, "survey", scene, "--to", "lin_ap1_scene", "--from", "lin_ap0_scene",
        "--config", DEFAULT_CONFIG, "--root", scene.parent,
    )  # fmt: skip
    assert (found["from"], found["to"]) == ("lin_ap0_scene", "lin_ap1_scene")
    assert found["config"] == DEFAULT_CONFIG
    assert found["house"]["overruled"] == ["from", "to", "config"]
    assert set(found["house"]["applied"]) == {"slots", "route", "closes_gate"}


def test_ocio_of_the_environment_comes_before_a_file_that_was_found(scene, capsys, monkeypatch):
    monkeypatch.setenv("OCIO", f"ocio://{DEFAULT_CONFIG}")
    found = document(capsys, "survey", scene)
    assert found["config"] == f"ocio://{DEFAULT_CONFIG}"
    assert found["house"]["overruled"] == ["config"]


def test_they_can_be_left_out(scene: Path, capsys):
    found = document(capsys, "survey", scene, "--house", "none")
    assert found["house"] is None
    assert (found["from"], found["to"]) == ("unknown", "lin_ap1_scene")


def test_a_decision_comes_before_them(scene: Path, capsys):
    run(["decide", str(scene), "bowl_rgh.png", "srgb_rec709_scene"])
    capsys.readouterr()
    found = document(capsys, "survey", scene)
    assert [i["standing"] for i in found["images"]] == ["overruled"]


def test_plan_takes_their_route_unless_one_is_given(scene: Path, capsys):
    assert document(capsys, "plan", scene)["route"] == "declare"
    made = document(capsys, "plan", scene, "--route", "tag")
    assert (made["route"], made["house"]["overruled"]) == ("tag", ["route"])


def test_gate_stays_closed_for_their_findings(tmp_path: Path, monkeypatch, capsys):
    """A warning opens the gate in general, and closes it in a house that says so."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tex").mkdir()
    (tmp_path / "tex" / "glaze_data.png").write_bytes(b.png(1, "uint8"))
    scene = sheet(tmp_path, "tex\\glaze_data.png,x,roughness,,,")
    assert run(["gate", str(scene)]) == 0, capsys.readouterr().out
    capsys.readouterr()
    before = document(capsys, "gate", scene)
    [code, *_] = [f["code"] for f in before["findings"] if f["severity"] != "error"]
    house = tmp_path / "primecoat.toml"
    house.write_text(f'[policy]\ncloses_gate = ["{code}"]\n')
    after = document(capsys, "gate", scene)
    assert (before["open"], after["open"]) == (True, False)
    assert after["closed_by"] == [code]
    run(["gate", str(scene)])
    printed = capsys.readouterr().out
    assert code in printed
    assert "The gate is closed." in printed


def test_gate_tries_their_config(scene: Path, capsys):
    """As with --config: a file that it misreads is left to a guess."""
    left = document(capsys, "gate", scene)["left"]
    bare = document(capsys, "gate", scene, "--house", "none")["left"]
    assert len(left) > len(bare) or {h["why"] for h in left} != {h["why"] for h in bare}


@pytest.mark.parametrize("verb", ["why", "decide", "report", "sheet", "config"])
def test_verbs_without_a_place_for_it_say_it_on_stderr(verb: str, scene: Path, capsys):
    own = {
        "why": ["why", "bowl_rgh.png", "--in", str(scene)],
        "decide": ["decide", str(scene), "bowl_rgh.png", "data"],
        "report": ["report", str(scene)],
        "sheet": ["sheet", str(scene)],
        "config": ["config", "read", DEFAULT_CONFIG, str(scene)],
    }
    run(own[verb])
    assert "primecoat: house conventions " in capsys.readouterr().err
    if verb == "report":
        assert "House conventions" in Path("report.html").read_text(encoding="utf-8")


def test_a_fault_stops_in_one_line(scene: Path, capsys):
    (scene.parent / "primecoat.toml").write_text("\nslotz = 1\n")
    assert run(["survey", str(scene)]) == 2
    printed = capsys.readouterr().err
    assert printed.count("\n") == 1
    assert "line 2: there is no key 'slotz' at the top. Did you mean 'slots'?" in printed


def test_roots_of_a_house_hold_in_surveys_and_shares(tmp_path: Path, monkeypatch):
    """A named house may let its scenes reach a shared folder; the library does as the verb."""
    shared, shots = tmp_path / "shared", tmp_path / "shots" / "one"
    shared.mkdir()
    shots.mkdir(parents=True)
    (shared / "glaze_data.png").write_bytes(b.png(1, "uint8"))
    scene = sheet(shots, "../../shared/glaze_data.png,x,roughness,,,")
    house = tmp_path / "primecoat.toml"
    house.write_text('roots = ["."]')
    assert [f.name for f in workflow.survey(scene).findings] == ["file_is_outside_the_root"]
    found = workflow.survey(scene, house=house)
    assert [i.record.path for i in found.readings.images] == ["shared/glaze_data.png"]
    again = workflow.judge_again(found)
    assert again.readings.house == found.readings.house
    from primecoat.jobs import Shard

    measured = workflow.measure_share(scene, Shard.parse("1/1"), house=house)
    assert list(measured) == ["shared/glaze_data.png"]


@pytest.mark.parametrize("verb", ["survey", "plan", "gate", "share", "why"])
def test_conventions_too_far_up_are_named_in_one_line(
    verb: str, tmp_path: Path, monkeypatch, capsys
):
    """And both options of that line take them."""
    monkeypatch.delenv("PRIMECOAT_HOUSE", raising=False)
    monkeypatch.chdir(tmp_path)
    shot = tmp_path / "our shots" / "tea" / "010"
    shot.mkdir(parents=True)
    (shot / "bowl_rgh.png").write_bytes(b.png(1, "uint8"))
    scene = sheet(shot, "bowl_rgh.png,x,roughness,,,")
    file = shot.parents[1] / "primecoat.toml"
    file.write_text(HOUSE)
    words = {"share": ["survey", scene, "--shard", "1/1"], "why": ["why", shot / "bowl_rgh.png"]}
    asked = [str(word) for word in words.get(verb, [verb, scene, *[scene] * (verb == "gate")])]
    run(asked)
    err = capsys.readouterr().err
    assert err.count("\n") == 1
    assert err.startswith(f"primecoat: no house conventions hold: {file} ")
    options = re.findall(r"--(?:house|root) \S+(?: \S+')?", err.partition(";")[0])
    assert [option.split()[0] for option in options] == ["--house", "--root"]
    for option in options:
        run([*asked, *shlex.split(option)])
        assert "no house conventions hold" not in capsys.readouterr().err
        assert document(capsys, "survey", scene, *shlex.split(option))["house"]["file"] == (
            file.as_posix()
        )
