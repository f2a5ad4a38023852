"""USD: changes reach instances, every variant and what classes say, and silence nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.scenes.usd_layers import SET, primed, read
from tests.scenes.usd_stages import (
    all_values,
    at,
    convert_all,
    layer,
    scene_of,
)

from primecoat.errors import RefusedError
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

INNER = """
def Xform "Pot"
{
    color3f clay = (1, 0, 0)
}
"""


CUP = """
def Xform "Base"
{
    color3f tint = (1, 0, 0)
    def Xform "Body"
    {
        color3f tint = (1, 0, 0)
    }
}
def Xform "Cup" (
    references = </Base>
    variants = {
        string glaze = "white"
    }
    prepend variantSets = "glaze"
)
{
    def Xform "Inner" (
        references = @./inner.usda@</Pot>
        instanceable = true
    )
    {
    }
    variantSet "glaze" = {
        "white" {
        }
        "blue" {
            over "Body"
            {
                color3f tint = (0, 0, 1)
                color3f only = (0, 1, 0)
            }
        }
        "green" {
        }
    }
}
"""


def instances(folder: Path) -> Path:
    layer(folder, INNER, "inner.usda")
    layer(folder, CUP, "cup.usda")
    text = "".join(
        f'def Xform "C{n}" (\n    references = @./cup.usda@</Cup>\n'
        f"    instanceable = {str(n < 3).lower()}\n)\n{{\n}}\n"
        for n in range(4)
    )
    text += (
        'def Xform "P" (\n    references = @./inner.usda@</Pot>\n    instanceable = true\n)\n{\n}\n'
    )
    return layer(folder, text)


def test_instances_share_one_prototype_and_get_the_change(tmp_path: Path):
    root = instances(tmp_path)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    one, other = (door.Usd.Stage.Open(str(p)) for p in (root, target))

    def groups(stage: Any) -> list[list[str]]:
        return sorted(
            sorted(str(i.GetPath()) for i in p.GetInstances() if not i.IsInPrototype())
            for p in stage.GetPrototypes()
        )

    assert ["/C0", "/C1", "/C2"] in groups(other)
    assert groups(one) == groups(other)
    red = np.array([0.613097, 0.070194, 0.020616])
    for n in range(4):
        for place in (f"/C{n}/Body.tint", f"/C{n}/Inner.clay", f"/C{n}.tint", "/P.clay"):
            value = np.array(other.GetAttributeAtPath(place).Get())
            assert np.abs(value - red).max() < 1e-6, place


def in_variant(path: Path, variant: str) -> dict[str, Any]:
    stage = door.Usd.Stage.Open(str(path))
    for n in range(4):
        stage.GetPrimAtPath(f"/C{n}").GetVariantSets().SetSelection("glaze", variant)
    return {k: v for k, v in all_values(stage).items() if "/C" in k and k.endswith("value")}


def test_every_variant_is_changed_and_none_is_silenced(tmp_path: Path):
    root = instances(tmp_path)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    red = "(0.61309737, 0.070193715, 0.020615593)"
    blue = "(0.047379"
    for variant in ("white", "blue", "green"):
        found = in_variant(target, variant)
        for n in range(4):
            tint = found[f"/C{n}/Body.tint value"]
            assert tint.startswith(f"[{blue}"[1:-1]) or tint.strip("[]").split(",")[0].startswith(
                "0.047" if variant == "blue" else "0.613"
            ), (variant, n, tint)
    assert "/C0/Body.only value" in in_variant(target, "blue")
    assert red.split(",")[0][1:6] in in_variant(target, "green")["/C1/Body.tint value"]
    assert read(target).problems == ()
    assert {c.declared for c in read(target).colours} == {"lin_ap1_scene"}


def test_variant_sets_keep_their_order(tmp_path: Path):
    text = """
def Xform "X" (
    variants = {
        string a = "one"
        string b = "one"
    }
    prepend variantSets = ["a", "b"]
)
{
    variantSet "a" = {
        "one" {
            color3f c = (1, 0, 0)
        }
        "two" {
            color3f d = (1, 0, 0)
        }
    }
    variantSet "b" = {
        "one" {
            color3f c = (0, 1, 0)
        }
    }
}
"""
    root = layer(tmp_path, text)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    assert "variantSets" not in target.read_text()
    stage = door.Usd.Stage.Open(str(target))
    assert stage.GetPrimAtPath("/X").GetVariantSets().GetNames() == ["a", "b"]
    assert at(read(target), "/X{a=one}.c").written.startswith("0.613")


def test_a_stronger_opinion_is_not_passed_over(tmp_path: Path):
    text = """
class "_C"
{
    color3f c = (1, 0, 0)
}
def Xform "X" (
    variants = {
        string a = "one"
    }
    prepend variantSets = "a"
    inherits = </_C>
)
{
    variantSet "a" = {
        "one" {
            color3f c = (0, 1, 0)
        }
    }
}
"""
    root = layer(tmp_path, text)
    scene = read(root)
    assert [(c.location.place, c.value) for c in scene.colours] == [("/X.c", (1, 0, 0))]
    target = primed(root, convert_all(scene, "lin_rec709_scene", "lin_ap1_scene"))
    assert at(read(target), "/X.c").written.startswith("0.613")
    hidden = Edit(place="/X{a=one}.c/value", before="1 0 0", after="0.5 0 0")
    with pytest.raises(RefusedError, match="stronger opinion"):
        primed(root, [hidden])


def test_a_scene_read_twice_is_the_same(tmp_path: Path):
    root = instances(tmp_path)
    assert read(root) == read(root)
    assert scene_of(tmp_path, SET) == scene_of(tmp_path, SET)
