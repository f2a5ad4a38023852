"""The card as an OpenUSD layer."""

from __future__ import annotations

import numpy as np

from primecoat.demo.usd_text import Prim, tuple_text
from primecoat.proof.card.inputs import DATA, INPUTS, KELVIN, LAMP_COLOUR, LINEAR, SRGB
from primecoat.proof.card.layout import ASPECT, CAMERA, CAMERA_ANGLE, LIGHTS, STRENGTHS
from primecoat.proof.card.surface import UVS, Quad, Surface, quads
from primecoat.proof.card.turned import turn_to

FILE = "card.usda"
CANNOT: tuple[str, ...] = ()
"""What of the card USD does not express."""

_ROOT = "/card/materials"
_APERTURE = 36.0
_DECLARED = {"declared_color": SRGB, "grey_data": DATA, "normal_map": DATA}
_WORDS = {SRGB: "sRGB", DATA: "raw"}


def usd_text() -> str:
    """Return the layer."""
    squares = list(quads())
    surfaces = {quad.surface.name: quad.surface for quad in squares}
    card = Prim(
        kind="def Xform",
        title="card",
        metadata=['prepend apiSchemas = ["ColorSpaceAPI"]', 'kind = "assembly"'],
        properties=[f'uniform token colorSpace:name = "{LINEAR}"'],
        children=[
            Prim(
                kind="def Scope",
                title="materials",
                children=[_material(surface) for surface in surfaces.values()],
            ),
            Prim(kind="def Scope", title="squares", children=[_mesh(quad) for quad in squares]),
            *_lights(),
            _camera(),
        ],
    )
    head = ("#usda 1.0", "(", '    defaultPrim = "card"', '    upAxis = "Y"')
    return "\n".join((*head, "    metersPerUnit = 1", ")", "", *card.lines(), ""))


def _mesh(quad: Quad) -> Prim:
    points = ", ".join(tuple_text(row) for row in quad.corners.tolist())
    low, high = quad.corners.min(axis=0).tolist(), quad.corners.max(axis=0).tolist()
    places = ", ".join(tuple_text(uv) for uv in UVS)
    return Prim(
        kind="def Mesh",
        title=quad.name,
        metadata=['prepend apiSchemas = ["MaterialBindingAPI"]'],
        properties=[
            f"float3[] extent = [{tuple_text(low)}, {tuple_text(high)}]",
            "int[] faceVertexCounts = [4]",
            "int[] faceVertexIndices = [0, 1, 2, 3]",
            f"point3f[] points = [{points}]",
            f'texCoord2f[] primvars:st = [{places}] (\n    interpolation = "vertex"\n)',
            'uniform token subdivisionScheme = "none"',
            f"rel material:binding = <{_ROOT}/{quad.surface.name}>",
        ],
    )


def _material(surface: Surface) -> Prim:
    home = f"{_ROOT}/{surface.name}"
    picture = bool(surface.path)
    metal = surface.slot == "metalness"
    base = f"color3f inputs:diffuseColor = {tuple_text(surface.base)}"
    lines = [
        'uniform token info:id = "UsdPreviewSurface"',
        f"color3f inputs:diffuseColor.connect = <{home}/picture.outputs:rgb>"
        if surface.slot == "base_color" and picture
        else base,
        f"float inputs:roughness = {0 if metal else 1}",
        f"float inputs:metallic.connect = <{home}/picture.outputs:r>"
        if metal
        else "float inputs:metallic = 0",
        "float inputs:ior = 1",
    ]
    if surface.slot == "normal":
        lines.append(f"normal3f inputs:normal.connect = <{home}/picture.outputs:rgb>")
    if surface.emission:
        lines.append(f"color3f inputs:emissiveColor = {tuple_text((surface.emission,) * 3)}")
    lines.append("token outputs:surface")
    made = Prim(
        kind="def Material",
        title=surface.name,
        properties=[f"token outputs:surface.connect = <{home}/surface.outputs:surface>"],
        children=[Prim(kind="def Shader", title="surface", properties=lines)],
    )
    if picture:
        made.children += _reader(surface, home)
    return made


def _reader(surface: Surface, home: str) -> list[Prim]:
    said = _DECLARED.get(surface.given)
    metadata = f' (\n    colorSpace = "{said}"\n)' if said else ""
    lines = [
        'uniform token info:id = "UsdUVTexture"',
        f"asset inputs:file = @./{surface.path}@{metadata}",
        *([f'token inputs:sourceColorSpace = "{_WORDS[said]}"'] if said else []),
        f"float2 inputs:st.connect = <{home}/st.outputs:result>",
        'token inputs:wrapS = "clamp"',
        'token inputs:wrapT = "clamp"',
    ]
    if surface.slot == "normal":
        lines += ["float4 inputs:scale = (2, 2, 2, 1)", "float4 inputs:bias = (-1, -1, -1, 0)"]
    lines.append("float outputs:r" if surface.slot == "metalness" else "color3f outputs:rgb")
    st = [
        'uniform token info:id = "UsdPrimvarReader_float2"',
        'string inputs:varname = "st"',
        "float2 outputs:result",
    ]
    return [
        Prim(kind="def Shader", title="picture", properties=lines),
        Prim(kind="def Shader", title="st", properties=st),
    ]


def _lights() -> list[Prim]:
    colours = {"main": (1.0, 1.0, 1.0), "lamp": LAMP_COLOUR, "warm": (1.0, 1.0, 1.0)}
    made = []
    for name, way in LIGHTS.items():
        x, y, z, w = turn_to(*way)
        lines = [
            "float inputs:angle = 0",
            f"color3f inputs:color = {tuple_text(colours[name])}",
            f"float inputs:intensity = {np.pi * STRENGTHS[name]:.7g}",
            f"quatd xformOp:orient = {tuple_text((w, x, y, z), 15)}",
            'uniform token[] xformOpOrder = ["xformOp:orient"]',
        ]
        if name == "warm":
            lines[:0] = [
                "bool inputs:enableColorTemperature = 1",
                f"float inputs:colorTemperature = {KELVIN:g}",
            ]
        made.append(Prim(kind="def DistantLight", title=f"{name}_light", properties=lines))
    path = INPUTS["environment"].path
    sky = Prim(
        kind="def DomeLight",
        title="sky",
        properties=[
            "color3f inputs:color = (1, 1, 1)",
            f"float inputs:intensity = {STRENGTHS['sky']:g}",
            f'asset inputs:texture:file = @./{path}@ (\n    colorSpace = "{LINEAR}"\n)',
            'token inputs:texture:format = "latlong"',
        ],
    )
    return [*made, sky]


def _camera() -> Prim:
    focal = _APERTURE / ASPECT / (2 * np.tan(np.radians(CAMERA_ANGLE / 2)))
    return Prim(
        kind="def Camera",
        title="camera",
        properties=[
            "float2 clippingRange = (1, 100)",
            f"float focalLength = {focal:.9g}",
            f"float horizontalAperture = {_APERTURE}",
            f"float verticalAperture = {_APERTURE / ASPECT:.9g}",
            f"double3 xformOp:translate = (0, 0, {CAMERA:g})",
            'uniform token[] xformOpOrder = ["xformOp:translate"]',
        ],
    )
