"""Colour spaces that a stage defines itself, by primaries and curve."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_stages import at, layer, one_use, preview, scene_of

from primecoat import workflow
from primecoat.colour.ids import SCENE_SPACES
from primecoat.colour.primaries import PRIMARIES, primaries_of
from primecoat.scenes.usd import door
from primecoat.scenes.usd.definitions import CURVES, TOLERANCE, interop_id

pytest.importorskip("pxr")


def defined(
    name: str,
    primaries: tuple[tuple[float, float], ...],
    gamma: float = 1.0,
    bias: float = 0.0,
    inside: str = "",
    prim: str = "Set",
) -> str:
    """Return a prim that defines a colour space, with something inside."""
    roles = ("redChroma", "greenChroma", "blueChroma", "whitePoint")
    lines = [
        f"float2 colorSpaceDefinition:own:{role} = ({x:.9g}, {y:.9g})"
        for role, (x, y) in zip(roles, primaries, strict=True)
    ]
    numbers = "\n".join(lines)
    return (
        f'def Scope "{prim}" (\nprepend apiSchemas = ["ColorSpaceDefinitionAPI:own"]\n)\n{{\n'
        f'uniform token colorSpaceDefinition:own:name = "{name}"\n{numbers}\n'
        f"float colorSpaceDefinition:own:gamma = {gamma:.9g}\n"
        f"float colorSpaceDefinition:own:linearBias = {bias:.9g}\n{inside}\n}}\n"
    )


def published(space: str) -> tuple[tuple[float, float], ...]:
    own = primaries_of(space)
    return own.red, own.green, own.blue, own.white


def colour(name: str) -> str:
    return f'color3f c = (1, 0.5, 0.25) (\ncolorSpace = "{name}"\n)'


@pytest.mark.parametrize("space", SCENE_SPACES)
def test_every_id_by_the_library_s_own_numbers(tmp_path: Path, space: str):
    """Oracle: primaries, white, gamma and bias that usd-core itself has for the ID."""
    known = door.Gf.ColorSpace(space)
    points = [(p[0], p[1]) for p in known.GetPrimariesAndWhitePoint()]
    text = defined("kiln", tuple(points), known.GetGamma(), known.GetLinearBias(), colour("kiln"))
    value = at(scene_of(tmp_path, text), "/Set.c")
    assert (value.declared, value.named, value.declared_reading) == ("kiln", space, space)


@pytest.mark.parametrize("space", SCENE_SPACES)
def test_every_id_by_its_published_numbers(space: str):
    """Oracle: the published primaries, source beside each in ``primaries.py``."""
    gamma, bias = CURVES[door_curve(space)]
    assert interop_id(primaries_of(space), gamma, bias) == space


def door_curve(space: str) -> str:
    return {"lin": "linear"}.get(space.split("_")[0], space.split("_")[0])


@pytest.mark.parametrize("off", [0.0005, -0.0009, 0.0011, -0.0015])
@pytest.mark.parametrize("which", ["red", "green", "blue", "white", "gamma", "bias"])
def test_the_tolerance_holds_for_each_number(off: float, which: str):
    from dataclasses import replace

    own, gamma, bias = PRIMARIES["p3d65"], 2.4, 0.055
    if which in ("gamma", "bias"):
        gamma, bias = gamma + off * (which == "gamma"), bias + off * (which == "bias")
    else:
        x, y = getattr(own, which)
        own = replace(own, **{which: (x, y + off)})
    wanted = "srgb_p3d65_scene" if abs(off) <= TOLERANCE else None
    assert interop_id(own, gamma, bias) == wanted


def test_converted_from_its_definition(tmp_path: Path):
    """Rec.2020 by its primaries: the numbers are those of the library's own conversion."""
    path = layer(tmp_path, defined("kiln", published("lin_rec2020_scene"), inside=colour("kiln")))
    (found,) = workflow.survey(path).readings.colours
    assert found.reading == "lin_rec2020_scene"
    gf = door.Gf.ColorSpace
    wanted = gf("lin_ap1_scene").Convert(gf("lin_rec2020_scene"), door.Gf.Vec3f(1, 0.5, 0.25))
    assert found.working == pytest.approx(tuple(wanted.GetRGB()), abs=2e-4)
    assert "defines it by the primaries" in found.why


def test_no_id_is_an_unknown_name_in_words(tmp_path: Path):
    odd = ((0.7, 0.3), (0.2, 0.7), (0.1, 0.1), (0.3127, 0.329))
    survey = workflow.survey(layer(tmp_path, defined("kiln", odd, 2.1, 0.0, colour("kiln"))))
    (found,) = survey.readings.colours
    assert (found.reading, found.working) == ("unknown", None)
    (told,) = [f for f in survey.findings if f.code == "PC108"]
    for words in ("'kiln'", "(0.7, 0.3)", "gamma 2.1", "no space that has a Color Interop ID"):
        assert words in told.message
        assert words in found.why


def test_a_well_known_name_that_is_defined_otherwise(tmp_path: Path):
    """``acescg`` is no name of the library's: here it means Rec.709, and not AP1."""
    text = defined("acescg", published("lin_rec709_scene"), inside=colour("acescg"))
    assert at(scene_of(tmp_path, text), "/Set.c").declared_reading == "lin_rec709_scene"
    odd = ((0.7, 0.3), (0.2, 0.7), (0.1, 0.1), (0.3127, 0.329))
    text = defined("acescg", odd, inside=colour("acescg"))
    assert at(scene_of(tmp_path, text), "/Set.c").declared_reading is None


def test_a_name_of_the_library_is_not_defined_anew(tmp_path: Path):
    """Oracle: usd-core's own ComputeColorSpace."""
    text = defined("lin_ap1_scene", published("lin_rec709_scene"), inside=colour("lin_ap1_scene"))
    path = layer(tmp_path, text)
    assert at(scene_of(tmp_path, text), "/Set.c").declared_reading == "lin_ap1_scene"
    stage = door.Usd.Stage.Open(str(path))
    attribute = stage.GetAttributeAtPath("/Set.c")
    used = door.Usd.ColorSpaceAPI.ComputeColorSpace(attribute, None)
    assert used == door.Gf.ColorSpace("lin_ap1_scene")


def test_the_nearest_definition_counts_and_only_from_above(tmp_path: Path):
    inner = defined("kiln", published("lin_p3d65_scene"), inside=colour("kiln"), prim="Inner")
    text = defined("kiln", published("lin_rec2020_scene"), inside=inner + colour("kiln"))
    text += f'def Scope "Other"\n{{\n{colour("kiln")}\n}}\n'
    scene = scene_of(tmp_path, text)
    assert {c.location.place: c.declared_reading for c in scene.colours} == {
        "/Set.c": "lin_rec2020_scene",
        "/Set/Inner.c": "lin_p3d65_scene",
        "/Other.c": None,
    }


def test_an_ancestor_s_colour_space_may_be_defined(tmp_path: Path):
    text = (
        'def Scope "Room" (\nprepend apiSchemas = ["ColorSpaceAPI"]\n)\n{\n'
        'uniform token colorSpace:name = "kiln"\ncolor3f c = (1, 0, 0)\n}\n'
    )
    text = defined("kiln", published("lin_p3d65_scene"), inside=text)
    value = at(scene_of(tmp_path, text), "/Set/Room.c")
    assert (value.declared, value.named) == ("kiln", "lin_p3d65_scene")


def test_a_picture_in_a_defined_space(tmp_path: Path):
    shader = (
        'def Shader "T"\n{\nuniform token info:id = "UsdUVTexture"\n'
        'asset inputs:file = @./cup.png@ (\ncolorSpace = "kiln"\n)\n'
        'token inputs:sourceColorSpace = "raw"\n}\n'
    )
    text = defined("kiln", published("srgb_p3d65_scene"), 2.4, 0.055, shader)
    scene = scene_of(tmp_path, text)
    use = one_use(scene)
    assert (use.declared, use.declared_reading) == ("kiln", "srgb_p3d65_scene")
    assert [p.name for p in scene.problems] == ["declarations_contradict"]
    assert scene_of(tmp_path, preview()).problems == ()


def test_a_rendering_space_that_the_stage_defines(tmp_path: Path):
    settings = (
        'def RenderSettings "R"\n{\nuniform token renderingColorSpace = "kiln"\n}\n'
        "color3f c = (1, 0, 0)\n"
    )
    text = defined("kiln", published("lin_rec2020_scene"), inside=settings)
    scene = scene_of(tmp_path, text)
    assert scene.working == "lin_rec2020_scene"
    assert at(scene, "/Set.c").default == "lin_rec2020_scene"
