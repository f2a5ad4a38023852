"""Scenes whose layers lie in several roots: what a plan was made with is what apply opens."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from tests.plan import small as s
from tests.scenes.usd_stages import layer, preview

from primecoat import workflow
from primecoat.documents import dumps
from primecoat.errors import RefusedError
from primecoat.plan.plan import Plan, plan_from
from primecoat.scenes.formats import usd

pytest.importorskip("pxr")


def kiln(folder: Path) -> tuple[Path, tuple[Path, Path]]:
    """Write a scene whose material stands in a layer of another folder; return it and its roots."""
    shop, store = folder / "works" / "shop", folder / "store"
    layer(store, preview(), "glaze.usda")
    s.pictures(store, "tex/cup.png")
    scene = layer(
        shop, 'def Xform "Cup"\n{\n    color3f primvars:tint = (1, 0, 0)\n}\n', "cup.usda"
    )
    scene.write_text(
        scene.read_text().replace(
            "#usda 1.0\n", "#usda 1.0\n(\n    subLayers = [@../../store/glaze.usda@]\n)\n", 1
        )
    )
    return scene, (shop, store)


def plan(folder: Path) -> Plan:
    scene, roots = kiln(folder)
    return s.plan(scene, "declare", roots=roots, with_likely=True)


def test_a_layer_in_a_second_root_is_changed_as_planned(tmp_path: Path) -> None:
    """From the plan's own document: the picture named in the other root is declared, and undone."""
    made = plan(tmp_path)
    shop, store = made.roots
    assert (shop, store) == (tmp_path / "works" / "shop", tmp_path / "store")
    before = s.content(tmp_path)
    loaded = plan_from(json.loads(dumps(made.as_document({}))))
    assert loaded.reach == (store,)
    assert len(workflow.apply(loaded)) == 1
    primed = shop / "cup.primed.usda"
    (use,) = usd.read(primed, "cup.primed.usda", made.roots).uses
    assert (use.declared, use.partly) == (s.SRGB, False)
    assert {name for name in s.content(tmp_path) if name not in before} == {
        "works/shop/cup.primed.usda"
    }
    workflow.undo(primed)
    assert s.content(tmp_path) == before


def test_a_plan_without_its_further_roots_is_refused(tmp_path: Path) -> None:
    """Then the layer is not opened, so what would be written is not what was planned."""
    made = plan(tmp_path)
    before = s.content(tmp_path)
    with pytest.raises(RefusedError, match="Nothing stands at /M/tex"):
        workflow.apply(replace(made, reach=()))
    assert s.content(tmp_path) == before


@pytest.mark.parametrize("folder", ["store", "/tea/../store"])
def test_a_further_root_is_named_whole(tmp_path: Path, folder: str) -> None:
    with pytest.raises(RefusedError, match="no whole path"):
        workflow.apply(replace(plan(tmp_path), reach=(Path(folder),)))


def test_only_roots_that_the_first_does_not_hold_are_named(tmp_path: Path) -> None:
    """A root below the first adds nothing; a folder moved with it need not be named again."""
    scene, (shop, store) = kiln(tmp_path)
    made = s.plan(scene, "declare", roots=(tmp_path, shop, store), with_likely=True)
    assert (made.root, made.reach, len(made.operations)) == (tmp_path, (), 1)
