"""The tea scene as OpenUSD text: same pictures, factors, lights and shapes as the glTF.

Everything is taken from the glTF document, so that nothing is said twice. The shapes are light:
points, normals and texture coordinates. Shapes that stand in several places are instances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from primecoat.demo.gltf_uses import ColourUse, PictureUse
from primecoat.demo.tableware import Part
from primecoat.demo.usd_materials import ROOT, UsdMaterial
from primecoat.demo.usd_text import Prim, plain_name, tuple_text

Json = dict[str, Any]

WORKING = "lin_rec709_scene"
SKY = "textures/courtyard_environment.exr"
_KINDS = {"point": "SphereLight", "directional": "DistantLight", "spot": "SphereLight"}
_SPHERE = 4
"""A sphere light of radius r and radiance L sends pi r² L to each side; with ``normalize``, L is
its intensity over 4 pi r² (UsdLux, ``LightAPI``): so four times the candelas of the glTF."""

_APERTURE = 36.0
_CANNOT = (
    "the way that a cone of light falls off: UsdLux has a smooth step of the angle",
    "vertex colours of a textured floor: UsdPreviewSurface does not multiply by them",
    "the index of refraction under a plain surface and the strengths of normal and occlusion maps",
    "free-form extras: they would have to be named as attributes",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsdScene:
    """A USD layer with its answers.

    Parameters
    ----------
    text
        The layer.
    uses, colours
        Every use of a picture and every colour in it; colours by path.
    cannot
        What of the glTF scene this one does not express.
    """

    text: str
    uses: tuple[PictureUse, ...]
    colours: tuple[ColourUse, ...]
    cannot: tuple[str, ...]


def usd_scene(document: Json, shapes: Sequence[Part]) -> UsdScene:
    """Return the scene as a layer in USD's text format.

    Parameters
    ----------
    document
        The scene as glTF.
    shapes
        The shapes that the glTF's meshes were packed from.
    """

    def path_of(texture: Json) -> str:
        source = document["textures"][texture["index"]]["source"]
        return str(document["images"][source]["uri"])

    made = [UsdMaterial(material, path_of) for material in document["materials"]]
    nodes, colours = _Nodes(document), [c for m in made for c in m.colours]
    roots = [nodes.prim(number, "/tea/set") for number in document["scenes"][0]["nodes"]]
    tea = Prim(
        kind="def Xform",
        title="tea",
        metadata=['prepend apiSchemas = ["ColorSpaceAPI"]', 'kind = "assembly"'],
        properties=[f'uniform token colorSpace:name = "{WORKING}"'],
        children=[
            Prim(kind="def Scope", title=plain_name("materials"), children=[m.prim for m in made]),
            Prim(kind="def Xform", title="set", children=roots),
            _sky(),
        ],
    )
    settings = Prim(
        kind="def RenderSettings",
        title="render",
        properties=[f'uniform token renderingColorSpace = "{WORKING}"'],
    )
    patterns = Prim(kind="class", title="_shapes", children=[_mesh(part) for part in shapes])
    sky = PictureUse(path=SKY, owner="sky", slot="environment", channels="rgb")
    white = (1.0, 1.0, 1.0)
    lit = ColourUse(location="/tea/sky.inputs:color", slot="light_color", low=white, high=white)
    vertex = [c for part in shapes if (c := nodes.vertex_colours(part))]
    return UsdScene(
        text="\n".join((*_HEAD, *tea.lines(), "", *settings.lines(), "", *patterns.lines(), "")),
        uses=(*(use for m in made for use in m.uses), sky),
        colours=(*colours, *nodes.colours, *vertex, lit),
        cannot=(*_CANNOT, *(words for m in made for words in m.cannot)),
    )


_HEAD = (
    "#usda 1.0",
    "(",
    '    defaultPrim = "tea"',
    "    metersPerUnit = 1",
    '    upAxis = "Y"',
    ")",
    "",
)


class _Nodes:
    """The nodes of the glTF as prims; notes where shapes and light colours come to stand."""

    def __init__(self, document: Json) -> None:
        self._document = document
        self.colours: list[ColourUse] = []
        self._places: dict[str, str] = {}
        meshes = [node["mesh"] for node in document["nodes"] if "mesh" in node]
        self._shared = {mesh for mesh in meshes if meshes.count(mesh) > 1}

    def prim(self, number: int, above: str) -> Prim:
        """Return a node with all below it."""
        node = self._document["nodes"][number]
        made = Prim(kind="def Xform", title=str(node["name"]))
        home = f"{above}/{made.name}"
        made.properties += _placed(node)
        if "mesh" in node:
            made.children.append(self._shape(node["mesh"], home))
        if "camera" in node:
            made.children.append(_camera(self._document["cameras"][node["camera"]]))
        light = node.get("extensions", {}).get("KHR_lights_punctual")
        if light is not None:
            made.children.append(self._light(light["light"], home))
        made.children += [self.prim(child, home) for child in node.get("children", [])]
        return made

    def vertex_colours(self, part: Part) -> ColourUse | None:
        """Return the colours of a shape's points, at the place where it stands first."""
        if part.mesh.colours is None:
            return None
        colours = part.mesh.colours
        return ColourUse(
            location=f"{self._places[part.name]}.primvars:displayColor",
            slot="base_color",
            low=tuple(colours.min(axis=0).tolist()),
            high=tuple(colours.max(axis=0).tolist()),
            count=len(colours),
        )

    def _shape(self, number: int, home: str) -> Prim:
        mesh = self._document["meshes"][number]
        material = self._document["materials"][mesh["primitives"][0]["material"]]["name"]
        name = str(mesh["name"])
        self._places.setdefault(name, f"{home}/shape/mesh")
        metadata = [
            'prepend apiSchemas = ["MaterialBindingAPI"]',
            f"prepend references = </_shapes/{plain_name(name)}>",
        ]
        if number in self._shared:
            metadata.append("instanceable = true")
        return Prim(
            kind="def Xform",
            title="shape",
            metadata=metadata,
            properties=[f"rel material:binding = <{ROOT}/{plain_name(str(material))}>"],
        )

    def _light(self, number: int, home: str) -> Prim:
        light = self._document["extensions"]["KHR_lights_punctual"]["lights"][number]
        point = light["type"] != "directional"
        made = Prim(
            kind=f"def {_KINDS[light['type']]}",
            title="light",
            metadata=[f'displayName = "{light["name"]}"'],
            properties=[
                f"color3f inputs:color = {tuple_text(light['color'])}",
                f"float inputs:intensity = {light['intensity'] * (_SPHERE if point else 1)}",
                "bool inputs:normalize = 1",
            ],
        )
        if point:
            made.properties += ["bool treatAsPoint = 1", "float inputs:radius = 0.02"]
        if light["type"] == "spot":
            made.metadata.append('prepend apiSchemas = ["ShapingAPI"]')
            inner, outer = (light["spot"][f"{name}ConeAngle"] for name in ("inner", "outer"))
            made.properties += [
                f"float inputs:shaping:cone:angle = {np.degrees(outer):.6g}",
                f"float inputs:shaping:cone:softness = {1 - inner / outer:.6g}",
            ]
        value = tuple(light["color"])
        place = f"{home}/light.inputs:color"
        self.colours.append(ColourUse(location=place, slot="light_color", low=value, high=value))
        return made


def _placed(node: Json) -> list[str]:
    """Return the lines that place a node: translation, then rotation."""
    lines, order = [], []
    if "translation" in node:
        lines.append(f"double3 xformOp:translate = {tuple_text(node['translation'])}")
        order.append('"xformOp:translate"')
    if "rotation" in node:
        x, y, z, w = node["rotation"]
        lines.append(f"quatf xformOp:orient = {tuple_text((w, x, y, z))}")
        order.append('"xformOp:orient"')
    return [*lines, f"uniform token[] xformOpOrder = [{', '.join(order)}]"] if order else []


def _sky() -> Prim:
    file = f'asset inputs:texture:file = @./{SKY}@ (\n    colorSpace = "{WORKING}"\n)'
    form = 'token inputs:texture:format = "latlong"'
    colour = "color3f inputs:color = (1, 1, 1)"
    return Prim(kind="def DomeLight", title="sky", properties=[colour, file, form])


def _camera(camera: Json) -> Prim:
    """Return a camera; focal length and apertures are tenths of a scene unit (UsdGeomCamera)."""
    lens = camera["perspective"]
    high = _APERTURE / lens["aspectRatio"]
    return Prim(
        kind="def Camera",
        title="camera",
        properties=[
            f"float2 clippingRange = {tuple_text((lens['znear'], lens['zfar']))}",
            f"float focalLength = {high / (2 * np.tan(lens['yfov'] / 2)):.9g}",
            f"float horizontalAperture = {_APERTURE}",
            f"float verticalAperture = {high:.9g}",
        ],
    )


def _mesh(part: Part) -> Prim:
    """Return a shape: a prim to refer to, with the mesh in it."""
    mesh = part.mesh
    points = ", ".join(tuple_text(row, 5) for row in mesh.positions.tolist())
    normals = ", ".join(tuple_text(row, 4) for row in mesh.normals.tolist())
    places = ", ".join(tuple_text((u, 1 - v), 5) for u, v in mesh.texcoords.tolist())
    counts = ", ".join("3" for _ in mesh.indices)
    indices = ", ".join(str(i) for i in mesh.indices.ravel().tolist())
    low, high = mesh.positions.min(axis=0).tolist(), mesh.positions.max(axis=0).tolist()
    made = Prim(
        kind="def Mesh",
        title="mesh",
        properties=[
            f"float3[] extent = [{tuple_text(low, 5)}, {tuple_text(high, 5)}]",
            f"int[] faceVertexCounts = [{counts}]",
            f"int[] faceVertexIndices = [{indices}]",
            f'normal3f[] normals = [{normals}] (\n    interpolation = "vertex"\n)',
            f"point3f[] points = [{points}]",
            f'texCoord2f[] primvars:st = [{places}] (\n    interpolation = "vertex"\n)',
            'uniform token subdivisionScheme = "none"',
        ],
    )
    if mesh.colours is not None:
        colours = ", ".join(tuple_text(row) for row in mesh.colours.tolist())
        vertex = '(\n    interpolation = "vertex"\n)'
        made.properties.append(f"color3f[] primvars:displayColor = [{colours}] {vertex}")
    return Prim(kind="def Xform", title=part.name, children=[made])
