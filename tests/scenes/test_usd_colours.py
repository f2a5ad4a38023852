"""Every colour-typed value of a stage is found, or listed with the rule that makes it none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.scenes.usd_stages import at, layer, preview, scene_of

from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

TYPES = ("color3f", "color3h", "color3d", "color4f", "color4h", "color4d")


def raw_count(path: Path) -> int:
    """Count authored colour-typed values in the layer itself, by its specs and nothing else."""
    found = []
    root = door.Sdf.Layer.FindOrOpen(str(path))

    def visit(spec_path: Any) -> None:
        spec = root.GetObjectAtPath(spec_path)
        colour = isinstance(spec, door.Sdf.AttributeSpec) and spec.roleName == "Color"
        if colour and (spec.HasInfo("default") or spec.HasInfo("timeSamples")):
            found.append(spec_path)

    root.Traverse("/", visit)
    return len(found)


@pytest.mark.parametrize("kind", TYPES)
def test_types(tmp_path: Path, kind: str):
    one = "(1, 0.5, 0.25, 0.5)" if "4" in kind else "(1, 0.5, 0.25)"
    two = one.replace("1", "2", 1)
    text = (
        f'def Xform "X"\n{{\n    {kind} one = {one}\n    {kind}[] many = [{one}, {two}]\n'
        f"    {kind} timed.timeSamples = {{\n        1: {one},\n        2: {two},\n    }}\n}}\n"
    )
    scene = scene_of(tmp_path, text)
    assert at(scene, "/X.one").value == (1.0, 0.5, 0.25)
    assert at(scene, "/X.one").written == "1 0.5 0.25"
    for place in ("/X.many", "/X.timed"):
        value = at(scene, place)
        assert (value.count, value.value, value.maximum) == (2, (1, 0.5, 0.25), (2, 0.5, 0.25))


def test_what_is_no_colour_is_left_alone(tmp_path: Path):
    text = (
        'def Xform "X"\n{\n    float3 a = (1, 0, 0)\n    vector3f b = (1, 0, 0)\n'
        "    normal3f c = (1, 0, 0)\n    point3f d = (1, 0, 0)\n    float e = 1\n"
        "    texCoord3f f = (1, 0, 0)\n    float4 g = (1, 0, 0, 1)\n    color3f h\n"
        "    color3f i = None\n}\n"
    )
    scene = scene_of(tmp_path, text)
    assert not scene.colours


def test_slots(tmp_path: Path):
    text = preview(inputs="color3f inputs:diffuseColor = (1, 0, 0)") + (
        'def Mesh "Mesh"\n{\n    color3f[] primvars:displayColor = [(1, 0, 0)]\n'
        "    color3f[] primvars:dust = [(1, 0, 0)]\n}\n"
        'def SphereLight "L"\n{\n    color3f inputs:color = (1, 0, 0)\n'
        "    color3f inputs:shadow:color = (0, 0, 0)\n}\n"
    )
    scene = scene_of(tmp_path, text)
    assert {c.location.place: c.slot for c in scene.colours} == {
        "/M/surface.inputs:diffuseColor": "base_color",
        "/Mesh.primvars:displayColor": "base_color",
        "/Mesh.primvars:dust": "other_color",
        "/L.inputs:shadow:color": "other_color",
    }
    assert [c.slot for c in scene.lights] == ["light_color"]


def test_fallback_of_a_colour_texture_is_a_colour(tmp_path: Path):
    tex = "asset inputs:file = @./a.png@\nfloat4 inputs:fallback = (1, 0.5, 0.25, 1)"
    assert at(scene_of(tmp_path, preview(tex)), "/M/tex.inputs:fallback").value == (1, 0.5, 0.25)
    inputs = "float inputs:roughness.connect = </M/tex.outputs:r>"
    assert not scene_of(tmp_path, preview(tex, inputs)).colours


def test_lights(tmp_path: Path):
    text = (
        'def SphereLight "White"\n{\n}\n'
        'def SphereLight "Warm"\n{\n    color3f inputs:color = (1, 0.5, 0.25)\n'
        "    bool inputs:enableColorTemperature = 1\n    float inputs:colorTemperature = 3200\n}\n"
        'def SphereLight "Off"\n{\n    float inputs:colorTemperature = 3200\n}\n'
        'def SphereLight "Default"\n{\n    bool inputs:enableColorTemperature = 1\n}\n'
    )
    found = {c.owner: c for c in scene_of(tmp_path, text).lights}
    assert {owner: c.kelvin for owner, c in found.items()} == {
        "White": None,
        "Warm": 3200.0,
        "Off": None,
        "Default": 6500.0,
    }
    assert found["White"].value == (1.0, 1.0, 1.0)
    assert found["White"].declared_at is None


EXCEPTIONS = {
    "lumacoeffs": ("ND_luminance_color3", "inputs:lumacoeffs", "luminance"),
    "subsurface radius": ("ND_standard_surface_surfaceshader", "inputs:subsurface_radius", "dist"),
    "radius scale": (
        "ND_open_pbr_surface_surfaceshader",
        "inputs:subsurface_radius_scale",
        "distances",
    ),
    "radius of a lobe": ("ND_subsurface_bsdf", "inputs:radius", "distances"),
    "opacity": ("ND_standard_surface_surfaceshader", "inputs:opacity", "let through"),
    "index": ("ND_conductor_bsdf", "inputs:ior", "optical constants"),
    "extinction": ("ND_conductor_bsdf", "inputs:extinction", "optical constants"),
}


@pytest.mark.parametrize("case", EXCEPTIONS)
def test_exceptions(tmp_path: Path, case: str):
    identifier, name, rule = EXCEPTIONS[case]
    text = (
        f'def Shader "S"\n{{\n    uniform token info:id = "{identifier}"\n'
        f"    color3f {name} = (1, 0.5, 0.25)\n}}\n"
    )
    scene = scene_of(tmp_path, text)
    (value,) = scene.colours
    assert value.location.place == f"/S.{name}"
    assert rule in value.exception
    assert (value.declared_at, value.written_at) == (None, None)


def test_colours_of_a_user_interface(tmp_path: Path):
    text = 'def Xform "X"\n{\n    color3f ui:nodegraph:node:displayColor = (1, 0, 0)\n}\n'
    assert "never rendered" in scene_of(tmp_path, text).colours[0].exception


@pytest.mark.parametrize("number", ["inf", "nan", "1e38"])
def test_numbers_that_are_none(tmp_path: Path, number: str):
    scene = scene_of(tmp_path, f'def Xform "X"\n{{\n    color3f c = ({number}, 0, 0)\n}}\n')
    assert not scene.colours
    assert [p.name for p in scene.problems] == ["reference_in_scene_is_broken"]


def test_ten_thousand_colours_are_all_found(tmp_path: Path):
    parts, standard = [], "ND_standard_surface_surfaceshader"
    for n in range(2000):
        rgb = f"({n / 2000}, 0.5, {1 - n / 2000})"
        parts.append(
            f'def Scope "P{n}"\n{{\n    color3f a = {rgb}\n    color4f b = {rgb[:-1]}, 1)\n'
            f"    color3f[] c = [{rgb}, {rgb}]\n    float3 no = {rgb}\n"
            f"    color3h d.timeSamples = {{\n        1: {rgb},\n    }}\n"
            f'    def Shader "S"\n    {{\n        uniform token info:id = "{standard}"\n'
            f"        color3f inputs:{'opacity' if n % 4 else 'base_color'} = {rgb}\n"
            "    }\n}\n"
        )
    path = layer(tmp_path, "".join(parts))
    scene = usd.read(path, "root.usda")
    assert raw_count(path) == 10_000
    assert len(scene.colours) == 10_000
    assert len([c for c in scene.colours if c.exception]) == 1500


def test_the_demo_in_numbers(tmp_path: Path):
    from primecoat.demo.gltf_scene import gltf_scene
    from primecoat.demo.tableware import parts
    from primecoat.demo.usd_scene import usd_scene

    document, _ = gltf_scene(True)
    path = tmp_path / "tea.usda"
    path.write_text(usd_scene(document, parts()).text)
    scene = usd.read(path, "tea.usda")
    written = [c for c in (*scene.colours, *scene.lights) if c.declared_at is not None]
    assert raw_count(path) == len(written)
