"""Variant sets that have to do with one another: what only a combination shows is found."""

from __future__ import annotations

import itertools
import random
from pathlib import Path
from typing import Any

import pytest
from tests.scenes.usd_stages import at, convert_all, layer, scene_of

from primecoat.errors import RefusedError
from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door
from primecoat.scenes.usd.variants import MOST

pytest.importorskip("pxr")

GREEN = "(0, 1, 0)"


def sets(**selected: str) -> str:
    """Return the head of a prim with variant sets, each with a selected variant."""
    chosen = "\n".join(f'string {name} = "{variant}"' for name, variant in selected.items())
    names = ", ".join(f'"{name}"' for name in selected)
    return f"(\nvariants = {{\n{chosen}\n}}\nprepend variantSets = [{names}]\n)"


def variant_set(name: str, **variants: str) -> str:
    """Return one variant set; each variant with its text."""
    text = "\n".join(
        f'"{variant}" {body}' if body.startswith("(") else f'"{variant}" {{\n{body}\n}}'
        for variant, body in variants.items()
    )
    return f'variantSet "{name}" = {{\n{text}\n}}\n'


def scope(name: str, body: str, specifier: str = "def Scope") -> str:
    return f'{specifier} "{name}" {{\n{body}\n}}\n'


def library(raw: str, fired: str) -> str:
    """Return a layer whose prim has a set ``glaze`` with a colour in each variant."""
    body = variant_set(
        "glaze", raw=scope("X", f"color3f c = {raw}"), fired=scope("X", f"color3f c = {fired}")
    )
    return f'def Xform "L" {sets(glaze="raw")}\n{{\n{body}}}\n'


def cup(folder: Path) -> Path:
    """Write a cup whose set ``kind`` chooses a layer, and that layer has a set ``glaze``."""
    layer(folder, library("(0.1, 0, 0)", "(0.2, 0, 0)"), "mug.usda")
    layer(folder, library("(0.3, 0, 0)", "(0.4, 0, 0)"), "bowl.usda")
    body = variant_set(
        "kind",
        mug="(\nreferences = @./mug.usda@</L>\n) {\n}",
        bowl="(\nreferences = @./bowl.usda@</L>\n) {\n}",
    )
    return layer(folder, f'def Xform "Cup" {sets(kind="mug")}\n{{\n{body}}}\n')


def colours_of(stage: Any) -> set[tuple[str, tuple[float, ...]]]:
    """Return path and value of all colours that a stage shows, by the library alone."""
    every = door.Usd.TraverseInstanceProxies(door.Usd.PrimDefaultPredicate)
    return {
        (str(attribute.GetPath()), tuple(round(v, 5) for v in attribute.Get()))
        for prim in door.Usd.PrimRange.Stage(stage, every)
        for attribute in prim.GetAuthoredAttributes()
        if attribute.GetRoleName() == "Color" and attribute.Get() is not None
    }


def in_any_combination(path: Path) -> set[tuple[str, tuple[float, ...]]]:
    """Return all colours that a stage shows in any combination of all its variants: try all."""
    found, done = set(), set()
    waiting: list[dict[tuple[str, str], str]] = [{}]
    while waiting:
        chosen = waiting.pop()
        stage = door.Usd.Stage.Open(str(path))
        stage.SetEditTarget(stage.GetSessionLayer())
        for (owner, name), variant in chosen.items():
            stage.OverridePrim(owner).GetVariantSet(name).SetVariantSelection(variant)
        found |= colours_of(stage)
        for prim in stage.Traverse():
            for name in prim.GetVariantSets().GetNames():
                for variant in prim.GetVariantSets().GetVariantSet(name).GetVariantNames():
                    new = {**chosen, (str(prim.GetPath()), name): variant}
                    key = frozenset(new.items())
                    if key not in done:
                        done.add(key)
                        waiting.append(new)
    return found


def found_in(scene: Any) -> set[tuple[str, tuple[float, ...]]]:
    return {
        (
            str(door.Sdf.Path(c.location.place).StripAllVariantSelections()),
            tuple(round(v, 5) for v in c.value),
        )
        for c in scene.colours
    }


def seen(path: Path, **chosen: str) -> tuple[float, ...]:
    """Return the colour X.c of the cup with some variants selected."""
    stage = door.Usd.Stage.Open(str(path))
    stage.SetEditTarget(stage.GetSessionLayer())
    for name, variant in chosen.items():
        stage.OverridePrim("/Cup").GetVariantSet(name).SetVariantSelection(variant)
    return tuple(stage.GetAttributeAtPath("/Cup/X.c").Get())


def test_a_set_that_a_variant_of_another_brings(tmp_path: Path):
    path = cup(tmp_path)
    scene = usd.read(path, "root.usda")
    assert {c.location.place: round(c.value[0], 5) for c in scene.colours} == {
        "/Cup{glaze=raw}X.c": 0.1,
        "/Cup{glaze=fired}X.c": 0.2,
        "/Cup{kind=bowl}{glaze=raw}X.c": 0.3,
        "/Cup{kind=bowl}{glaze=fired}X.c": 0.4,
    }
    assert found_in(scene) == in_any_combination(path)


def test_each_combination_is_changed_in_its_variants(tmp_path: Path):
    """All four colours are converted once each, and nothing is silenced (trap of variants)."""
    path = cup(tmp_path)
    scene = usd.read(path, "root.usda")
    target = path.with_name("root.primed.usda")
    edits = convert_all(scene, "lin_rec709_scene", "lin_ap1_scene")
    target.write_bytes(usd.changed(path, edits, target))
    for kind, glaze in itertools.product(("mug", "bowl"), ("raw", "fired")):
        red = seen(path, kind=kind, glaze=glaze)[0]
        wanted = pytest.approx([red * w for w in (0.613097, 0.070194, 0.020616)], abs=1e-6)
        assert seen(target, kind=kind, glaze=glaze) == wanted, (kind, glaze)


def test_a_prim_that_one_set_defines_and_another_colours(tmp_path: Path):
    body = variant_set("form", plain="", handled=scope("X", "")) + variant_set(
        "glaze", raw="", fired=scope("X", f"color3f c = {GREEN}", "over")
    )
    path = layer(tmp_path, f'def Xform "Cup" {sets(form="plain", glaze="raw")}\n{{\n{body}}}\n')
    scene = usd.read(path, "root.usda")
    assert found_in(scene) == {("/Cup/X.c", (0, 1, 0))} == in_any_combination(path)
    target = path.with_name("root.primed.usda")
    edits = convert_all(scene, "lin_rec709_scene", "lin_ap1_scene")
    target.write_bytes(usd.changed(path, edits, target))
    assert seen(target, form="handled", glaze="fired")[0] == pytest.approx(0.339523, abs=1e-6)


def test_a_colour_space_that_one_set_says_for_colours_of_another(tmp_path: Path):
    space = (
        'variantSet "room" = {\n"day" {\n}\n"night" (\nprepend apiSchemas = ["ColorSpaceAPI"]\n'
        ") {\n"
        'uniform token colorSpace:name = "lin_ap1_scene"\n}\n}\n'
    )
    body = space + variant_set("glaze", raw="", fired=scope("X", f"color3f c = {GREEN}"))
    scene = scene_of(tmp_path, f'def Xform "Cup" {sets(room="day", glaze="raw")}\n{{\n{body}}}\n')
    assert {c.location.place: c.declared for c in scene.colours} == {
        "/Cup{glaze=fired}X.c": None,
        "/Cup{room=night}{glaze=fired}X.c": "lin_ap1_scene",
    }


def test_a_picture_of_one_set_declared_by_another(tmp_path: Path):
    texture = 'def Shader "tex"\n{\nuniform token info:id = "UsdUVTexture"\n'
    texture += "asset inputs:file = @./cup.png@\n}\n"
    raw = 'token inputs:sourceColorSpace = "raw"'
    body = texture + variant_set("read", plain="", raw=scope("tex", raw, "over"))
    scene = scene_of(tmp_path, f'def Material "M" {sets(read="plain")}\n{{\n{body}}}\n')
    assert {u.location.place: u.declared for u in scene.uses} == {
        "/M/tex.inputs:file": None,
        "/M{read=raw}tex.inputs:file": "raw",
    }


def test_independent_sets_are_not_multiplied(tmp_path: Path):
    """Ten sets of ten variants, each with a prim of its own: 10 ** 10 combinations, 90 matter."""
    names = [f"s{n}" for n in range(10)]
    body = "".join(
        variant_set(
            name, **{f"v{k}": scope(f"X{name}", f"color3f c = (0.{k}, 0, 0)") for k in range(10)}
        )
        for name in names
    )
    head = sets(**dict.fromkeys(names, "v0"))
    scene = scene_of(tmp_path, f'def Xform "Cup" {head}\n{{\n{body}}}\n')
    assert len(scene.colours) == 100
    assert not scene.problems


def test_too_many_combinations_are_told(tmp_path: Path):
    """Six sets of five variants that all speak of one prim: every pair is tried, and it is said."""
    names = [f"s{n}" for n in range(6)]
    body = 'def Scope "X" {\n}\n' + "".join(
        variant_set(
            name,
            **{f"v{k}": scope("X", f"color3f c{name} = (0.{k}, 0, 0)", "over") for k in range(5)},
        )
        for name in names
    )
    head = sets(**dict.fromkeys(names, "v0"))
    scene = scene_of(tmp_path, f'def Xform "Cup" {head}\n{{\n{body}}}\n')
    assert len(scene.colours) == 30
    (problem,) = scene.problems
    assert problem.name == "variants_are_not_all_tried"
    assert "/Cup" in problem.message
    assert MOST >= 15 * 25  # every pair of variants has room


def random_stage(seed: int) -> str:
    """Return a cup with a few variant sets, nested or not, that colour the same few prims."""
    draw = random.Random(seed)
    names = ["a", "b", "c"][: draw.randint(2, 3)]

    def colour() -> str:
        return f"color3f c{draw.choice('pq')} = ({draw.randint(1, 99) / 100}, 0, 0)"

    def part() -> str:
        kind = draw.choice(["def Scope", "over"])
        inner = scope("Z", colour(), draw.choice(["def Scope", "over"]))
        return scope(draw.choice("XY"), colour() + "\n" + draw.choice(["", inner]), kind)

    def body(depth: int) -> str:
        text = draw.choice(["", part(), part()])
        if depth and draw.random() < 0.35:
            text += variant_set("n", one=draw.choice(["", part()]), two=part())
        return text

    text = draw.choice(["", scope("X", colour())])
    text += "".join(
        variant_set(name, **{f"v{k}": body(1) for k in range(draw.randint(2, 3))}) for name in names
    )
    return f'def Xform "Cup" {sets(**dict.fromkeys(names, "v0"))}\n{{\n{text}}}\n'


@pytest.mark.parametrize("seed", range(60))
def test_found_is_what_trying_everything_finds(tmp_path: Path, seed: int):
    """Oracle: the library, with every combination selected by the plainest loop."""
    path = layer(tmp_path, random_stage(seed))
    assert found_in(usd.read(path, "root.usda")) == in_any_combination(path)


@pytest.mark.parametrize("seed", range(60))
def test_every_combination_is_converted_once(tmp_path: Path, seed: int):
    """In any combination the colours are those of the scene, converted: none twice, none not."""
    path = layer(tmp_path, random_stage(seed))
    scene = usd.read(path, "root.usda")
    target = path.with_name("root.primed.usda")
    edits = convert_all(scene, "lin_rec709_scene", "lin_ap1_scene")
    try:
        target.write_bytes(usd.changed(path, edits, target))
    except RefusedError as error:
        pytest.skip(f"refused: {error.message}")
    wanted = {(place, round(value[0], 3)) for place, value in in_any_combination(path)}
    found = in_any_combination(target)
    assert {(place, round(value[0] / 0.613097, 3)) for place, value in found} == wanted
    for _, (red, green, blue) in found:
        assert (green / red, blue / red) == pytest.approx((0.114491, 0.033626), abs=1e-3)


def test_a_light_that_two_sets_make_together(tmp_path: Path):
    """One set switches the temperature on, the other says which it is."""
    body = "color3f inputs:color = (1, 1, 1)\n" + variant_set(
        "lamp", off="", on="bool inputs:enableColorTemperature = 1"
    )
    body += variant_set(
        "bulb",
        warm="float inputs:colorTemperature = 2700",
        cool="float inputs:colorTemperature = 5000",
    )
    scene = scene_of(
        tmp_path, f'def SphereLight "L" {sets(lamp="off", bulb="warm")}\n{{\n{body}}}\n'
    )
    assert {c.location.place: c.kelvin for c in scene.lights} == {
        "/L.inputs:color": None,
        "/L{bulb=warm}{lamp=on}.inputs:color": 2700.0,
        "/L{bulb=cool}{lamp=on}.inputs:color": 5000.0,
    }
    assert at(scene, "/L.inputs:color").value == (1, 1, 1)
