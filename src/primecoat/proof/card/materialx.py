"""The materials and lights of the card as a MaterialX document."""

from __future__ import annotations

from primecoat.demo.materialx_nodes import Element, Socket, colour, number
from primecoat.proof.card.inputs import KELVIN, LAMP_COLOUR
from primecoat.proof.card.layout import LIGHTS, STRENGTHS
from primecoat.proof.card.surface import Surface, quads

FILE = "card.mtlx"
CANNOT = (
    "shapes, camera and the directions of the lights: MaterialX holds materials",
    "an environment picture: its light shaders take none",
)
"""What of the card MaterialX does not express."""

_SPACE = {"colorspace": "lin_rec709"}
_DECLARED = {"declared_color": {"colorspace": "srgb_texture"}}


def materialx_text() -> str:
    """Return the document; pictures that nothing is said of inherit no space from it."""
    surfaces = {quad.surface.name: quad.surface for quad in quads()}
    root = Element("materialx", {"version": "1.39"})
    for surface in surfaces.values():
        root.children += _material(surface)
    root.children += _lights()
    return "\n".join(('<?xml version="1.0" encoding="UTF-8"?>', *root.lines(), ""))


def _material(surface: Surface) -> list[Element]:
    name = surface.name
    shader = Element("gltf_pbr", {"name": f"{name}_surface", "type": "surfaceshader"})
    put = shader.children.append
    made = []
    kinds = {"base_color": "color3", "metalness": "float", "normal": "vector3"}
    terms = {"base_color": "base_color", "metalness": "metallic", "normal": "normal"}
    if surface.path:
        kind = kinds[surface.slot]
        file = Socket("filename", value=surface.path)
        more = _DECLARED.get(surface.given, {})
        picture = Element("image", {"name": f"{name}_picture", "type": kind})
        picture.children.append(file.element("file", **more))
        made.append(picture)
        last = Socket(kind, node=f"{name}_picture")
        if surface.slot == "normal":
            node = Element("normalmap", {"name": f"{name}_bent", "type": kind})
            node.children.append(last.element("in"))
            made.append(node)
            last = Socket(kind, node=f"{name}_bent")
        put(last.element(terms[surface.slot]))
    if surface.slot != "base_color":
        put(colour(surface.base).element("base_color", **_SPACE))
    if surface.slot != "metalness":
        put(number(0.0).element("metallic"))
    put(number(0.0 if surface.slot == "metalness" else 1.0).element("roughness"))
    put(number(1.0).element("ior"))
    if surface.emission:
        put(colour((surface.emission,) * 3).element("emissive", **_SPACE))
    material = Element("surfacematerial", {"name": name, "type": "material"})
    material.children.append(
        Socket("surfaceshader", node=f"{name}_surface").element("surfaceshader")
    )
    return [*made, shader, material]


def _lights() -> list[Element]:
    heat = Element("blackbody", {"name": "warm_colour", "type": "color3"})
    heat.children.append(number(KELVIN).element("temperature"))
    made = [heat]
    for name in LIGHTS:
        light = Element("directional_light", {"name": f"{name}_light", "type": "lightshader"})
        match name:
            case "warm":
                light.children.append(Socket("color3", node="warm_colour").element("color"))
            case "lamp":
                light.children.append(colour(LAMP_COLOUR).element("color", **_SPACE))
            case _:
                light.children.append(colour((1.0, 1.0, 1.0)).element("color", **_SPACE))
        light.children.append(number(STRENGTHS[name]).element("intensity"))
        made.append(light)
    return made
