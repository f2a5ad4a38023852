"""The JSON documents: one on stdout and nothing else, with the keys that scripts rely on."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.cli.terminal import Terminal, in_a_process
from tests.reading.worlds import sheet
from tests.scenes import builders as b

from primecoat import __version__
from primecoat.colour.ids import READINGS
from primecoat.colour.ocio import DEFAULT_CONFIG

STANDINGS = ("settled", "likely", "conflicting", "unknown", "overruled")


def test_survey_of_a_sound_scene(scene: Path, terminal: Terminal):
    """A survey document has every key of the contract, with the types it promises."""
    outcome = terminal("survey", scene, "--json")
    assert (outcome.code, outcome.err) == (0, "")
    document = outcome.document
    assert document["document"] == "primecoat.survey/1"
    assert document["primecoat"] == __version__
    assert set(document["libraries"]) >= {"OpenColorIO", "OpenImageIO"}
    assert document["root"] == scene.parent.as_posix()
    assert (document["from"], document["to"]) == ("lin_rec709_scene", "lin_ap1_scene")
    assert document["config"] == DEFAULT_CONFIG
    assert document["findings"] == []


def test_images_of_a_survey(scene: Path, terminal: Terminal):
    """Each image has path, uses, reading, standing, confidence, candidates, content, evidence."""
    images = {i["path"]: i for i in terminal("survey", scene, "--json").document["images"]}
    assert sorted(images) == ["maps/cup.png", "maps/cup_normal.png"]
    cup = images["maps/cup.png"]
    assert (cup["reading"], cup["standing"]) == ("srgb_rec709_scene", "settled")
    assert cup["content"] == "base_color"
    assert 0.99 <= cup["confidence"] <= 1.0
    assert cup["candidates"][0] == {"reading": cup["reading"], "confidence": cup["confidence"]}
    assert cup["findings"] == []
    colour, alpha = cup["uses"]
    place = "tea.gltf#/materials/0/pbrMetallicRoughness/baseColorTexture"
    assert {key: colour[key] for key in ("scene", "owner", "slot", "channels", "location")} == {
        "scene": "tea.gltf",
        "owner": "glaze",
        "slot": "base_color",
        "channels": "rgb",
        "location": place,
    }
    assert (alpha["slot"], alpha["channels"], alpha["reading"]) == ("opacity", "a", "data")
    assert colour["reading"] == "srgb_rec709_scene"
    assert colour["reads_as"] == {
        "today": "srgb_rec709_scene",
        "why": "glTF 2.0 fixes the slot's encoding",
    }
    for image in images.values():
        assert image["reading"] in (*READINGS, "unknown")
        assert image["standing"] in STANDINGS
        for item in image["evidence"]:
            assert set(item) >= {"witness", "claim", "strength", "words", "location"}
            assert item["words"]
            assert isinstance(item["strength"], float)


def test_colours_and_lights_of_a_survey(scene: Path, terminal: Terminal):
    """Colours and lights have their numbers, their reading and the numbers in the working space.

    Linear Rec.709 (0.5, 0.4, 0.3) in ACEScg, computed from the published matrices.
    """
    document = terminal("survey", scene, "--json").document
    (colour,) = document["colours"]
    assert (colour["slot"], colour["value"]) == ("base_color", [0.5, 0.4, 0.3])
    assert colour["reading"] == "lin_rec709_scene"
    assert colour["working"] == pytest.approx([0.456571795, 0.405674132, 0.315080096], abs=1e-6)
    assert colour["location"].endswith("#/materials/0/pbrMetallicRoughness/baseColorFactor")
    (light,) = document["lights"]
    assert (light["value"], light["kelvin"]) == ([1.0, 0.5, 0.25], None)
    assert len(light["working"]) == 3


def test_working_space_can_be_chosen(scene: Path, terminal: Terminal):
    """``--to`` changes the numbers; names of any standard are understood."""
    document = terminal("survey", scene, "--json", "--to", "lin_rec709").document
    assert document["to"] == "lin_rec709_scene"
    assert document["colours"][0]["working"] == pytest.approx([0.5, 0.4, 0.3], abs=1e-6)


def test_from_is_taken(tmp_path: Path, terminal: Terminal):
    """``--from`` says what picked colours are where nothing else does, and ends the finding."""
    target = sheet(tmp_path, ",x,base_color,,,0.5 0.4 0.3")
    asked = terminal("survey", target, "--json").document
    told = terminal("survey", target, "--json", "--from", "acescg").document
    assert (asked["from"], asked["colours"][0]["working"]) == ("unknown", None)
    assert [f["code"] for f in asked["findings"]] == ["PC201"]
    assert (told["from"], told["findings"]) == ("lin_ap1_scene", [])
    assert told["colours"][0]["working"] == pytest.approx([0.5, 0.4, 0.3], abs=1e-6)


def test_findings_of_a_survey(tmp_path: Path, terminal: Terminal):
    """A finding has code, name, severity, place, message and remedy; its image lists its code."""
    scene = b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "gone.png"}]))
    outcome = terminal("survey", scene, "--json")
    assert outcome.code == 1
    (found,) = outcome.document["findings"]
    assert {k: found[k] for k in ("code", "name", "severity", "where", "location")} == {
        "code": "PC401",
        "name": "file_is_missing",
        "severity": "error",
        "where": "gone.png",
        "location": "s.gltf#/images/0/uri",
    }
    assert found["message"]
    assert found["remedy"]
    assert outcome.document["images"][0]["findings"] == ["PC401"]


def test_warnings_alone_are_ready(tmp_path: Path, terminal: Terminal):
    """A scene whose findings are only warnings is done and ready: exit 0."""
    (tmp_path / "strawberry.png").write_bytes(b.png())
    outcome = terminal("survey", sheet(tmp_path, "strawberry.png,x,base_color,,,"), "--json")
    assert outcome.code == 0
    assert [f["severity"] for f in outcome.document["findings"]] == ["warning"]


def test_without(scene: Path, terminal: Terminal):
    """``--without`` leaves witnesses out, blanks around the commas or not."""
    outcome = terminal("survey", scene, "--json", "--without", "slot, pixels ,name")
    told = {e["witness"] for i in outcome.document["images"] for e in i["evidence"]}
    assert told.isdisjoint({"slot", "pixels", "name"})
    wrong = terminal("survey", scene, "--json", "--without", "slots")
    assert (wrong.code, wrong.out) == (2, "")
    assert "siblings" in wrong.line


def test_embedded_and_tiles(tmp_path: Path, terminal: Terminal):
    """A picture inside a file, and a set of tiles, are named as the contract says."""
    (tmp_path / "tea.glb").write_bytes(b.glb_with_images(b.png()))
    glb = terminal("survey", tmp_path / "tea.glb", "--json").document
    assert [i["path"] for i in glb["images"]] == ["tea.glb#images/0"]
    for tile in (1001, 1002):
        (tmp_path / f"wall.{tile}.png").write_bytes(b.png())
    tiles = terminal("survey", sheet(tmp_path, "wall.<UDIM>.png,x,base_color,,,"), "--json")
    assert [i["path"] for i in tiles.document["images"]] == ["wall.<UDIM>.png"]


def test_plan(scene: Path, tmp_path: Path, terminal: Terminal):
    """A plan document stands in the file and on stdout; nothing else is touched."""
    out = tmp_path / "plan.json"
    outcome = terminal("plan", scene, "--route", "tag", "--out", out, "--json")
    assert outcome.code == 0
    assert json.loads(out.read_text("utf-8")) == outcome.document
    document = outcome.document
    assert document["document"] == "primecoat.plan/1"
    assert set(document) >= {
        "primecoat",
        "libraries",
        "root",
        "route",
        "from",
        "to",
        "operations",
        "held",
        "findings",
    }
    assert document["route"] == "tag"
    assert len(document["operations"]) == 3  # two pictures and the scene
    names = {p.name for p in scene.parent.rglob("*") if ".primecoat" not in p.parts}
    assert names == {"tea.gltf", "maps", "cup.png", "cup_normal.png"}


def test_gate_before_and_after(scene: Path, tmp_path: Path, terminal: Terminal):
    """The gate is closed, the plan is applied, the gate of the new scene is open."""
    closed = terminal("gate", scene, "--json")
    assert closed.code == 1
    assert closed.document["document"] == "primecoat.gate/1"
    assert closed.document["open"] is False
    assert {left["where"] for left in closed.document["left"]} == {
        "maps/cup.png",
        "maps/cup_normal.png",
    }
    assert all(left["why"] and left["remedy"] for left in closed.document["left"])
    out = tmp_path / "plan.json"
    assert terminal("plan", scene, "--out", out, "--json").code == 0
    applied = terminal("apply", out, "--json")
    assert (applied.code, applied.document["document"]) == (0, "primecoat.applied/1")
    opened = terminal("gate", scene.with_name("tea.primed.gltf"), "--json")
    assert (opened.code, opened.document["open"], opened.document["left"]) == (0, True, [])


def test_dry_run_does_nothing(scene: Path, tmp_path: Path, terminal: Terminal):
    """A dry run lists what would go where and leaves every file as it is."""
    out = tmp_path / "plan.json"
    terminal("plan", scene, "--out", out)
    before = sorted(p.name for p in scene.parent.rglob("*"))
    document = terminal("apply", out, "--dry-run", "--json").document
    assert document["dry_run"] is True
    assert {op["method"] for op in document["operations"]} == {"not done"}
    assert sorted(p.name for p in scene.parent.rglob("*")) == before


def test_why(scene: Path, terminal: Terminal):
    """The story of one image: the same evidence as in the survey, as JSON and as text."""
    whole = terminal("survey", scene, "--json").document["images"][0]
    story = terminal("why", "maps/cup.png", "--in", scene, "--json")
    assert (story.code, story.document["document"]) == (0, "primecoat.why/1")
    assert story.document["image"] == whole
    text = terminal("why", "maps/cup.png", "--in", scene)
    assert text.code == 0
    for item in whole["evidence"]:
        assert " ".join(item["words"].split()[:3]) in text.out


def test_why_of_an_unknown_image(scene: Path, terminal: Terminal):
    """An image that is not there is told with the way to find its name."""
    outcome = terminal("why", "no.png", "--in", scene)
    assert (outcome.code, outcome.out) == (2, "")
    assert "no.png" in outcome.line
    assert "primecoat survey" in outcome.line


def test_decide(scene: Path, terminal: Terminal):
    """A person's word is heard at the next survey, and taken back by ``unknown``."""
    told = terminal("decide", scene, "maps/cup.png", "srgb_displayp3", "--because", "wide camera")
    assert told.code == 0
    assert "srgb_p3d65_scene" in told.out
    cup = terminal("survey", scene, "--json").document["images"][0]
    assert (cup["reading"], cup["standing"]) == ("srgb_p3d65_scene", "overruled")
    assert any("wide camera" in e["words"] for e in cup["evidence"])
    assert terminal("decide", scene, "maps/cup.png", "unknown").code == 0
    assert terminal("survey", scene, "--json").document["images"][0]["standing"] == "settled"
    wrong = terminal("decide", scene, "maps/cup.png", "moonlight")
    assert (wrong.code, wrong.out) == (2, "")
    assert "moonlight" in wrong.line


def test_config_from_the_environment(
    scene: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
):
    """``OCIO`` is honoured and named in the document; ``--config`` comes before it."""
    other = "ocio://cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
    monkeypatch.setenv("OCIO", other)
    assert terminal("survey", scene, "--json").document["config"] == other
    asked = terminal("survey", scene, "--json", "--config", DEFAULT_CONFIG).document
    assert asked["config"] == DEFAULT_CONFIG
    assert other in terminal("survey", scene).out
    monkeypatch.setenv("OCIO", str(scene.parent / "gone.ocio"))
    broken = terminal("survey", scene, "--json")
    assert (broken.code, broken.out) == (2, "")
    assert "gone.ocio" in broken.line


def test_text_and_document_agree(scene: Path, terminal: Terminal):
    """The table names each image with its reading and standing."""
    document = terminal("survey", scene, "--json").document
    text = terminal("survey", scene).out
    for image in document["images"]:
        assert any(
            image["path"] in row and image["reading"] in row and image["standing"] in row
            for row in text.splitlines()
        )


def test_document_in_a_process_of_its_own(scene: Path):
    """Also as a command of its own, stdout is the document and nothing else."""
    outcome = in_a_process("survey", scene, "--json")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.document["document"] == "primecoat.survey/1"


@pytest.mark.parametrize("name", ["茶 碗.png", "cup\u00a0x.png", "cup\u3000x.png", "kö🫖.png"])
def test_paths_come_as_they_are(name: str, tmp_path: Path, terminal: Terminal):
    """A path in the document is the path on disk, in any script, and decides as such."""
    (tmp_path / name).write_bytes(b.png())
    (image,) = terminal("survey", tmp_path, "--json").document["images"]
    assert image["path"] == name
    assert terminal("decide", tmp_path, image["path"], "data").code == 0


def test_settings_sheet(scene: Path, tmp_path: Path, terminal: Terminal):
    """The settings sheet is a scene sheet that can be surveyed itself, without a finding."""
    out = scene.parent / "settings.csv"
    assert terminal("sheet", scene, "--out", out).code == 0
    again = terminal("survey", out, "--json")
    assert again.document["findings"] == []
    assert {i["path"]: i["reading"] for i in again.document["images"]} == {
        "maps/cup.png": "srgb_rec709_scene",
        "maps/cup_normal.png": "data",
    }
    folder = terminal("survey", scene.parent, "--json").document
    assert {u["scene"] for i in folder["images"] for u in i["uses"]} == {"tea.gltf"}
