"""The person is told the way forward: what to decide, what a word does not reach, which colour."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.terminal import Terminal
from tests.plan import small as s
from tests.scenes import builders as b
from tests.scenes.usd_stages import layer, preview

from primecoat.location import pasteable
from primecoat.scenes.usd import door


def test_a_word_that_a_standard_passes_over_is_told(scene: Path, terminal: Terminal):
    """glTF 2.0, section 3.9.3, fixes base colour to sRGB: the word is taken, and found idle."""
    outcome = terminal("decide", scene, "maps/cup.png", "acescg")
    assert outcome.code == 0
    first, second = outcome.out.splitlines()
    assert first == "maps/cup.png is lin_ap1_scene, because you say so."
    assert "fixes the base_color slot of glaze to srgb_rec709_scene" in second
    assert terminal("gate", scene).code == 1


def test_a_word_that_reaches_its_picture_is_taken_without_more(scene: Path, terminal: Terminal):
    assert len(terminal("decide", scene, "maps/cup.png", s.SRGB).out.splitlines()) == 1
    assert len(terminal("decide", scene, "maps/cup.png", "unknown").out.splitlines()) == 1


def test_a_normal_map_declared_srgb_is_led_to_raw(tmp_path: Path, terminal: Terminal):
    """PC107 names the command; after it, the declare route writes ``raw`` and the gate opens.

    ``raw`` for numbers that are used as they are: *UsdPreviewSurface Specification* 2.5.
    """
    pytest.importorskip("pxr")
    (tmp_path / "bowl.png").write_bytes(b.png_of(b.normal_pixels()))
    texture = 'asset inputs:file = @./bowl.png@\ntoken inputs:sourceColorSpace = "sRGB"'
    normal = "normal3f inputs:normal.connect = </M/tex.outputs:rgb>"
    target = layer(tmp_path, preview(texture, normal))
    document = terminal("survey", target, "--json").document
    (told,) = [f for f in document["findings"] if f["code"] == "PC107"]
    command = f"decide {pasteable(target)} bowl.png data"
    assert command in told["remedy"]
    plan = tmp_path / "plan.json"
    made = terminal("plan", target, "--route", "declare", "--out", plan, "--json").document
    assert [command in held["remedy"] for held in made["held"]] == [True]
    assert terminal("decide", target, "bowl.png", "data").code == 0
    assert terminal("plan", target, "--route", "declare", "--out", plan).code == 0
    assert terminal("apply", plan).code == 0
    new = tmp_path / "root.primed.usda"
    stage = door.Usd.Stage.Open(str(new))
    assert stage.GetAttributeAtPath("/M/tex.inputs:sourceColorSpace").Get() == "raw"
    assert terminal("gate", new).code == 0


def test_colours_of_one_owner_and_slot_are_told_apart(tmp_path: Path, terminal: Terminal):
    """By the shortest end of their places; colours that stand alone in their slot stay bare."""
    target = s.sheet(
        tmp_path / "tea.csv",
        ",plum glaze,base_color,,srgb_rec709_scene,0.3 0.2 0.1",
        ",plum glaze,base_color,,srgb_rec709_scene,0.9 0.8 0.7",
        ",jam,base_color,,srgb_rec709_scene,0.5 0.1 0.1",
    )
    table = terminal("survey", target).out
    assert "plum glaze (row 2)" in table
    assert "plum glaze (row 3)" in table
    assert "jam  " in table


@pytest.mark.parametrize("option", ["--from", "--to"])
@pytest.mark.parametrize("space", ["sRGB", "srgb_rec709_display", "data"])
def test_only_light_is_a_working_space(tmp_path: Path, terminal: Terminal, option: str, space: str):
    """Renderers add and multiply light (common practice, no source): encoded numbers are none."""
    (tmp_path / "cup.png").write_bytes(b.png())
    outcome = terminal("survey", tmp_path, "--from", space)
    assert (outcome.code, outcome.out) == (2, "")
    assert "working space" in outcome.line or "no colour space" in outcome.line
    assert "lin_rec709_scene" in outcome.line


def test_a_name_that_is_no_reading_gets_those_near_it(tmp_path: Path, terminal: Terminal):
    (tmp_path / "cup.png").write_bytes(b.png())
    outcome = terminal("decide", tmp_path, "cup.png", "sRGB")
    assert outcome.code == 2
    assert "Did you mean srgb_rec709_scene or" in outcome.line
    assert "Did you mean" not in terminal("decide", tmp_path, "cup.png", "moonlight").line
