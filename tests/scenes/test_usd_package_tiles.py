"""Tiles and frames inside a package are found, each with its own picture."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from tests.scenes import builders as b
from tests.scenes.usd_stages import layer, preview

from primecoat import workflow
from primecoat.inventory.take import take_inventory
from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

TILES = ("tex/cup.1001.png", "tex/cup.1002.png", "tex/cup.1011.png")
OTHERS = ("tex/cup.png", "tex/cup.10010.png", "tex/pot.1001.png", "cup.1001.png", "a/cup.1001.png")


def package(folder: Path, text: str, name: str = "tea.usdz") -> Path:
    """Write a package with three tiles, and pictures that are none of them."""
    path = folder / name
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("tea.usda", "#usda 1.0\n" + text)
        for at, tile in enumerate((*TILES, *OTHERS)):
            archive.writestr(tile, b.png(4 if at == 1 else 3))
    return path


TEXT = preview("asset inputs:file = @./tex/cup.<UDIM>.png@")


def test_tiles_of_a_package(tmp_path: Path):
    """Oracle: the names in the archive that the library's own tile numbers give."""
    path = package(tmp_path, TEXT)
    scene = usd.read(path, "tea.usdz")
    assert not scene.problems
    assert [r.package for r in scene.references] == [f"tea.usdz[{tile}]" for tile in TILES]
    with zipfile.ZipFile(path) as archive:
        assert [r.embedded for r in scene.references] == [archive.read(tile) for tile in TILES]
    assert [u.reference for u in scene.uses] == [0, 1, 2]
    images = take_inventory(path).images
    assert [i.path for i in images] == [f"tea.usdz[{tile}]" for tile in TILES]
    assert [len(i.header.channels) for i in images if i.header] == [3, 4, 3]


def test_a_package_in_a_package_and_below_a_layer(tmp_path: Path):
    inner = package(tmp_path, TEXT, "inner.usdz")
    with zipfile.ZipFile(tmp_path / "outer.usdz", "w") as archive:
        text = 'def "M" (\n    references = @./inner.usdz@</M>\n)\n{\n}\n'
        archive.writestr("set.usda", "#usda 1.0\n" + text)
        archive.writestr("inner.usdz", inner.read_bytes())
    scene = usd.read(tmp_path / "outer.usdz", "outer.usdz")
    assert [r.embedded for r in scene.references] == [b.png(3), b.png(4), b.png(3)]
    root = layer(tmp_path, 'def "M" (\n    references = @./inner.usdz@</M>\n)\n{\n}\n')
    found = [r.package for r in usd.read(root, "root.usda").references]
    assert found == [f"inner.usdz[{tile}]" for tile in TILES]


def test_no_tile_is_there(tmp_path: Path):
    path = package(tmp_path, preview("asset inputs:file = @./tex/jar.<UDIM>.png@"))
    (problem,) = usd.read(path, "tea.usdz").problems
    assert problem.name == "reference_in_scene_is_broken"
    assert "jar.<UDIM>.png" in problem.message


def test_declared_once_for_all_tiles(tmp_path: Path):
    """One place stands for all tiles: one declaration, and the layer above still finds them."""
    survey = workflow.survey(package(tmp_path, TEXT))
    plan = workflow.plan(survey, "declare", with_likely=True)
    workflow.apply(plan)
    stage = door.Usd.Stage.Open(str(tmp_path / "tea.primed.usda"))
    file = stage.GetAttributeAtPath("/M/tex.inputs:file")
    assert file.GetColorSpace() == "srgb_rec709_scene"
    after = usd.read(tmp_path / "tea.primed.usda", "tea.primed.usda")
    assert [r.package for r in after.references] == [f"tea.usdz[{tile}]" for tile in TILES]
    assert {u.declared for u in after.uses} == {"srgb_rec709_scene"}


@pytest.mark.parametrize("route", ["tag", "bake"])
def test_tiles_are_not_taken_out_one_by_one(tmp_path: Path, route: str):
    """One path names them all; taking one out would lose the others."""
    survey = workflow.survey(package(tmp_path, TEXT))
    plan = workflow.plan(survey, route, with_likely=True)
    assert plan.operations == ()
    assert {h.where for h in plan.held} == {f"tea.usdz[{tile}]" for tile in TILES}
