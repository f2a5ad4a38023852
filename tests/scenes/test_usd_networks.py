"""MaterialX networks in USD: which slots and channels their pictures serve."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_stages import scene_of

from primecoat.scenes.model import SLOTS

pytest.importorskip("pxr")

GRAPH = """
def Material "M"
{
    asset inputs:picture = @./tex/cup.png@ (
        colorSpace = "srgb_rec709_scene"
    )
    token outputs:mtlx:surface.connect = </M/surface.outputs:out>
    def Shader "surface"
    {
        uniform token info:id = "ND_%s_surfaceshader"
        %s inputs:%s.connect = </M/graph.outputs:result>
        token outputs:out
    }
    def NodeGraph "graph"
    {
        asset inputs:picture.connect = </M.inputs:picture>
        %s outputs:result.connect = </M/graph/%s>
%s
    }
}
"""


def image(kind: str, output: str) -> str:
    return f"""
        def Shader "image"
        {{
            uniform token info:id = "ND_{kind}"
            asset inputs:file.connect = </M/graph.inputs:picture>
            {output} outputs:out
        }}
"""


def node(name: str, identifier: str, *lines: str) -> str:
    body = "\n".join(lines)
    return f'def Shader "{name}"\n{{\nuniform token info:id = "{identifier}"\n{body}\n}}\n'


NETWORKS = {
    "image": (
        ("standard_surface", "color3f", "base_color", "color3f", "image.outputs:out"),
        image("image_color3", "color3f"),
        {("base_color", "rgb")},
    ),
    "tiled image": (
        ("open_pbr_surface", "color3f", "fuzz_color", "color3f", "image.outputs:out"),
        image("tiledimage_color3", "color3f"),
        {("sheen_color", "rgb")},
    ),
    "float image": (
        ("gltf_pbr", "float", "roughness", "float", "image.outputs:out"),
        image("image_float", "float"),
        {("roughness", "r")},
    ),
    "separated": (
        ("gltf_pbr", "float", "metallic", "float", "parts.outputs:outz"),
        image("image_vector3", "float3")
        + node(
            "parts",
            "ND_separate3_vector3",
            "float3 inputs:in.connect = </M/graph/image.outputs:out>",
            "float outputs:outz",
        ),
        {("metalness", "b")},
    ),
    "extracted": (
        ("standard_surface", "float", "specular_roughness", "float", "one.outputs:out"),
        image("image_color3", "color3f")
        + node(
            "one",
            "ND_extract_color3",
            "color3f inputs:in.connect = </M/graph/image.outputs:out>",
            "int inputs:index = 1",
            "float outputs:out",
        ),
        {("roughness", "g")},
    ),
    "swizzled": (
        ("standard_surface", "float", "metalness", "float", "one.outputs:out"),
        image("image_color3", "color3f")
        + node(
            "one",
            "ND_swizzle_color3_float",
            "color3f inputs:in.connect = </M/graph/image.outputs:out>",
            'string inputs:channels = "b"',
            "float outputs:out",
        ),
        {("metalness", "b")},
    ),
    "tinted": (
        ("standard_surface", "color3f", "base_color", "color3f", "tint.outputs:out"),
        image("image_color3", "color3f")
        + node(
            "tint",
            "ND_multiply_color3",
            "color3f inputs:in1.connect = </M/graph/image.outputs:out>",
            "color3f inputs:in2 = (0.5, 0.4, 0.3)",
            "color3f outputs:out",
        ),
        {("base_color", "rgb")},
    ),
    "mixed by a mask": (
        ("standard_surface", "color3f", "base_color", "color3f", "mix.outputs:out"),
        image("image_float", "float")
        + node(
            "mix",
            "ND_mix_color3",
            "color3f inputs:fg = (1, 0, 0)",
            "color3f inputs:bg = (0, 1, 0)",
            "float inputs:mix.connect = </M/graph/image.outputs:out>",
            "color3f outputs:out",
        ),
        {("mask", "r")},
    ),
    "normal map": (
        ("standard_surface", "vector3f", "normal", "float3", "bend.outputs:out"),
        image("image_vector3", "float3")
        + node(
            "bend",
            "ND_normalmap_float",
            "float3 inputs:in.connect = </M/graph/image.outputs:out>",
            "float3 outputs:out",
        ),
        {("normal", "rgb")},
    ),
    "height": (
        ("standard_surface", "vector3f", "normal", "float3", "bend.outputs:out"),
        image("image_float", "float")
        + node(
            "bend",
            "ND_heighttonormal_vector3",
            "float inputs:in.connect = </M/graph/image.outputs:out>",
            "float3 outputs:out",
        ),
        {("height", "r")},
    ),
    "inverted": (
        ("standard_surface", "float", "specular_roughness", "float", "flip.outputs:out"),
        image("image_float", "float")
        + node(
            "flip",
            "ND_invert_float",
            "float inputs:in.connect = </M/graph/image.outputs:out>",
            "float outputs:out",
        ),
        {("glossiness", "r")},
    ),
    "in a circle": (
        ("standard_surface", "color3f", "base_color", "color3f", "a.outputs:out"),
        image("image_color3", "color3f")
        + node(
            "a",
            "ND_add_color3",
            "color3f inputs:in1.connect = </M/graph/a.outputs:out>",
            "color3f inputs:in2.connect = </M/graph/image.outputs:out>",
            "color3f outputs:out",
        ),
        {("base_color", "rgb")},
    ),
}


@pytest.mark.parametrize("case", NETWORKS)
def test_materialx_networks(tmp_path: Path, case: str):
    (shader, kind, name, out, source), nodes, expected = NETWORKS[case]
    kind = kind.replace("vector3f", "float3")
    scene = scene_of(tmp_path, GRAPH % (shader, kind, name, out, source, nodes))
    assert {(u.slot, u.channels) for u in scene.uses} == expected
    assert {u.declared for u in scene.uses} == {"srgb_rec709_scene"}
    assert [r.location.place for r in scene.references] == ["/M.inputs:picture"]
    assert all(u.slot in SLOTS for u in scene.uses)


def test_a_tint_has_the_slot_that_it_feeds(tmp_path: Path):
    (shader, kind, name, out, source), nodes, _ = NETWORKS["tinted"]
    scene = scene_of(tmp_path, GRAPH % (shader, kind, name, out, source, nodes))
    assert [(c.slot, c.owner) for c in scene.colours] == [("base_color", "M")]
