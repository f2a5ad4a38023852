from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.plan import small as s

from primecoat import workflow


@pytest.mark.parametrize("route", ["declare", "bake"])
@pytest.mark.parametrize("kind", ["gltf", "glb"])
def test_gltf_is_neither_declared_nor_baked(tmp_path: Path, route: str, kind: str) -> None:
    """PC410 with the reason, and nothing planned: glTF fixes its encodings."""
    s.pictures(tmp_path, "bowl.png")
    scene = (
        s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
        if kind == "gltf"
        else s.glb(tmp_path / "tea.glb", (s.png(), "base_color"))
    )
    made = s.plan(scene, route)
    assert (made.operations, s.codes(made)) == ((), ["PC410"])
    assert made.findings[0].severity == "note"
    assert "fixes the encoding" in made.findings[0].message
    assert scene.name in s.held(made)


def test_a_sheet_without_a_column_for_it_is_declared(tmp_path: Path) -> None:
    """The column is added at the right; every other cell stays."""
    s.pictures(tmp_path, "bowl.png", "rough.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        'bowl.png,"a, b",base_color,keep "this"',
        "rough.png,a,roughness,",
        ",,,",
        head="path,owner,slot,remark",
    )
    made = s.plan(scene, "declare", with_likely=True)
    assert s.told(made.operations) == [("write_scene", "tea.csv", "tea.primed.csv")]
    workflow.apply(made)
    old, new = s.cells(scene), s.cells(tmp_path / "tea.primed.csv")
    assert [row.pop("space") for row in new] == [s.SRGB, "data", ""]
    assert new == old


def test_a_declaration_that_is_there_is_left_and_a_wrong_alias_is_not_touched(
    tmp_path: Path,
) -> None:
    """A known name for the right space is a declaration; a sheet that says all needs nothing."""
    s.pictures(tmp_path, "bowl.png", "rough.png")
    rows = ["bowl.png,a,base_color,rgb,srgb_texture,", "rough.png,a,roughness,r,raw,"]
    made = s.plan(s.sheet(tmp_path / "tea.csv", *rows), "declare")
    assert (made.operations, made.held, made.findings) == ((), (), ())


def test_colours_are_declared_in_the_space_the_scene_was_made_in(tmp_path: Path) -> None:
    """A picked colour is declared only when somebody says where it was picked."""
    scene = s.sheet(tmp_path / "tea.csv", ",cloth,base_color,,,0.5 0.25 0.125")
    assert s.plan(scene, "declare").operations == ()
    found = workflow.survey(scene, verify=True, workers=1, from_space="lin_rec709_scene")
    workflow.apply(workflow.plan(found, "declare"))
    new = s.cells(tmp_path / "tea.primed.csv")
    assert (new[0]["space"], new[0]["value"]) == ("lin_rec709_scene", "0.5 0.25 0.125")


def test_an_image_that_no_scene_uses_has_nowhere_to_be_declared(tmp_path: Path) -> None:
    """It is held with the route that helps."""
    s.pictures(tmp_path, "bowl_data.png")
    made = s.plan(tmp_path, "declare", with_likely=True)
    assert (made.operations, s.held(made)) == ((), ["bowl_data.png"])
    assert "tag route" in made.held[0].remedy


def test_baking_a_sheet_converts_pictures_and_colours_and_never_data(tmp_path: Path) -> None:
    """Paths, declarations and values say the working space afterwards; data stays byte for byte."""
    s.pictures(tmp_path, "bowl.png", "rough.png", "tray.1001.png", "tray.1002.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"bowl.png,a,base_color,rgb,{s.SRGB},",
        "rough.png,a,roughness,r,data,",
        f"tray.<UDIM>.png,b,base_color,rgb,{s.SRGB},",
        ",cloth,base_color,,lin_rec709_scene,1 0 0",
        ",paint,base_color,,lin_ap1_scene,1 0 0",
    )
    made = s.plan(scene, "bake")
    assert s.told(made.operations) == [
        ("bake_image", "bowl.png", f"bowl_{s.AP1}.exr"),
        ("bake_image", "tray.1001.png", f"tray_{s.AP1}.1001.exr"),
        ("bake_image", "tray.1002.png", f"tray_{s.AP1}.1002.exr"),
        ("write_scene", "tea.csv", "tea.primed.csv"),
    ]
    workflow.apply(made)
    new = s.cells(tmp_path / "tea.primed.csv")
    assert [row["path"] for row in new] == [
        f"bowl_{s.AP1}.exr", "rough.png", f"tray_{s.AP1}.<UDIM>.exr", "", "",
    ]  # fmt: skip
    assert [row["space"] for row in new] == [s.AP1, "data", s.AP1, s.AP1, s.AP1]
    # Rec.709 red in AP1, Bradford-adapted: OpenColorIO-Config-ACES, lin_rec709_scene to ACEScg
    wanted = [0.613097, 0.070194, 0.020616]
    assert np.allclose([float(v) for v in new[3]["value"].split()], wanted, atol=1e-6, rtol=0)
    assert new[4]["value"] == "1 0 0"


def test_a_second_bake_has_nothing_to_do(tmp_path: Path) -> None:
    """Neither the old sheet, the new one nor the folder gives another operation."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"bowl.png,a,base_color,rgb,{s.SRGB},",
        ",cloth,base_color,,lin_rec709_scene,1 0 0",
    )
    workflow.apply(s.plan(scene, "bake"))
    for target in (scene, tmp_path / "tea.primed.csv", tmp_path):
        again = s.plan(target, "bake")
        assert (again.operations, again.held, again.findings) == ((), (), ())


def test_a_bake_from_an_older_picture_is_found(tmp_path: Path) -> None:
    """A source that changed after its bake is named; the stale bake is not passed off as new."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.sheet(tmp_path / "tea.csv", f"bowl.png,a,base_color,rgb,{s.SRGB},")
    workflow.apply(s.plan(scene, "bake"))
    (tmp_path / "bowl.png").write_bytes(s.png(9))
    made = s.plan(scene, "bake")
    assert (s.codes(made), s.held(made)) == (["PC407"], ["bowl.png"])
    workflow.undo(scene)
    assert len(workflow.apply(s.plan(scene, "bake"))) == 2


def test_a_display_ready_picture_is_not_baked(tmp_path: Path) -> None:
    """What view to undo is not said, so the picture is held."""
    s.pictures(tmp_path, "plate.png")
    scene = s.sheet(tmp_path / "tea.csv", "plate.png,camera,backplate,rgb,srgb_rec709_display,")
    made = s.plan(scene, "bake")
    assert (made.operations, s.held(made)) == ((), ["plate.png"])


def test_the_working_space_is_switched_and_what_it_governed_is_pinned(tmp_path: Path) -> None:
    """A MaterialX document gets the new working space; a colour that said nothing keeps its own."""
    (tmp_path / "tea.mtlx").write_text(
        '<?xml version="1.0"?>\n<materialx version="1.39" colorspace="lin_rec709">\n'
        '  <standard_surface name="glaze" type="surfaceshader">\n'
        '    <input name="base_color" type="color3" value="1, 0, 0" />\n'
        '    <input name="specular_roughness" type="float" value="0.3" />\n'
        "  </standard_surface>\n</materialx>\n",
        encoding="utf-8",
    )
    survey = workflow.survey(tmp_path / "tea.mtlx", verify=True)
    assert survey.readings.from_space == "lin_rec709_scene"
    (colour,) = survey.readings.colours
    assert colour.working == pytest.approx((0.613097, 0.070194, 0.020616), abs=1e-6)
    for route, value in (("declare", "1, 0, 0"), ("bake", "0.613097")):
        plan = workflow.plan(survey, route)
        workflow.apply(plan)
        text = (tmp_path / "tea.primed.mtlx").read_text("utf-8")
        assert '<materialx version="1.39" colorspace="acescg">' in text
        assert value in text
        after = workflow.survey(tmp_path / "tea.primed.mtlx", verify=True)
        assert after.readings.from_space == "lin_ap1_scene"
        assert after.readings.colours[0].working == pytest.approx(colour.working, abs=1e-6)
        assert workflow.gate(after).open
        workflow.undo(tmp_path / "tea.mtlx")
