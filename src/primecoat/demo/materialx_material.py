"""One glTF material as MaterialX nodes: images in a node graph, a shader, a material."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from primecoat.demo.materialx_nodes import Element, Maps, Socket, colour, number, plain_name
from primecoat.demo.materialx_terms import MODELS, TERMS

Json = dict[str, Any]
PathOf = Callable[[Json], str]
"""Gives the picture of a glTF texture reference."""

GRAPH_SPACE = {"brick wall": "srgb_texture"}
"""Materials whose pictures inherit their space from the graph."""
INTERFACE = ("cobalt porcelain",)
"""Materials whose base colour picture is an input of the graph."""


@dataclass(slots=True)
class Surface:
    """A shader while its inputs are gathered.

    Parameters
    ----------
    model
        The shading model.
    missing
        What the model has no input for, in words.
    displacement
        A displacement shader, where the shader itself has no height.
    """

    owner: str
    model: str
    maps: Maps
    shader: Element
    missing: list[str]
    displacement: list[Element]

    def plug(self, term: str, socket: Socket, value: tuple[float, ...] = ()) -> bool:
        """Plug something in; False, and a note, if the model has no such input."""
        name = TERMS[self.model].get(term)
        if name is None:
            self.missing.append(f"{self.owner}: {self.model} has no input for {term}")
            return False
        self.shader.children.append(socket.element(name))
        if value:
            self.maps.note_colour(f"/{self.shader.attributes['name']}/{name}", term, value)
        return True

    def has(self, term: str) -> bool:
        """Whether the model has a term; if not, that is noted."""
        known = term in TERMS[self.model]
        if not known:
            self.missing.append(f"{self.owner}: {self.model} has no input for {term}")
        return known

    def elements(self) -> list[Element]:
        """Return the nodes of the material."""
        plugs = [
            Socket(shader.attributes["type"], node=shader.attributes["name"]).element(
                shader.attributes["type"]
            )
            for shader in (self.shader, *self.displacement)
        ]
        material = Element("surfacematerial", {"name": self.owner, "type": "material"}, plugs)
        return [*self.maps.elements(), self.shader, *self.displacement, material]

    def displace(self, height: Socket) -> None:
        """Plug a height in: into the shader if it displaces, else into a shader that does."""
        if "height" in TERMS[self.model]:
            self.plug("height", height)
            return
        attributes = {"name": f"{self.owner}_displacement", "type": "displacementshader"}
        self.displacement.append(
            Element("displacement", attributes, [height.element("displacement")])
        )


def surface(name: str, model: str = "") -> Surface:
    """Return an empty surface for a material of this name."""
    owner = plain_name(name)
    model = model or MODELS.get(name, "gltf_pbr")
    attributes = {"name": f"{owner}_surface", "type": "surfaceshader"}
    return Surface(
        owner, model, Maps(owner, GRAPH_SPACE.get(name, "")), Element(model, attributes), [], []
    )


def from_gltf(material: Json, path_of: PathOf) -> Surface:
    """Return a glTF material as MaterialX."""
    made = surface(material["name"])
    pbr, more = material.get("pbrMetallicRoughness", {}), material.get("extensions", {})
    old = more.get("KHR_materials_pbrSpecularGlossiness")
    if old:
        _specular_glossiness(made, old, path_of)
        if "baseColorFactor" in pbr:
            made.missing.append(f"{made.owner}: no second, metallic-roughness form of a material")
    else:
        _metallic_roughness(made, material, pbr, path_of)
    _normal(made, material, path_of)
    _occlusion(made, material, path_of)
    _emission(made, material, more, path_of)
    _specular(made, more.get("KHR_materials_specular", {}), path_of)
    _coat(made, more.get("KHR_materials_clearcoat", {}), path_of)
    _sheen(made, more.get("KHR_materials_sheen", {}), path_of)
    _volume(made, more, path_of)
    if "KHR_materials_ior" in more:
        made.plug("ior", number(more["KHR_materials_ior"]["ior"]))
    if "KHR_materials_anisotropy" in more:
        made.plug("anisotropy", number(more["KHR_materials_anisotropy"]["anisotropyStrength"]))
    if "KHR_materials_diffuse_transmission" in more:
        made.has("diffuse_transmission_color")
    return made


def _tiling(texture: Json) -> list[float]:
    transform = texture.get("extensions", {}).get("KHR_texture_transform", {})
    return [float(v) for v in transform.get("scale", ())]


def _coloured(made: Surface, term: str, texture: Json | None, factor: Any, path_of: PathOf) -> None:
    """Plug in a colour: a picture, three numbers, or the picture times the numbers."""
    picked = tuple(float(v) for v in (factor or ())[:3])
    if not made.has(term):
        return
    if texture is None:
        if picked:
            made.plug(term, colour(picked), picked)
        return
    path = path_of(texture)
    made.maps.note_use(path, term, "rgb")
    if made.owner in map(plain_name, INTERFACE) and term == "base_color":
        image = made.maps.interface(path, "paint")
    else:
        image = made.maps.image(path, "color3", f"{term}_image", _tiling(texture))
    if picked:
        image = made.maps.tinted(image, picked, term)
    made.plug(term, made.maps.out(image, term))


def _single(
    made: Surface, term: str, texture: Json, channel: str, path_of: PathOf, factor: float = 1.0
) -> None:
    """Plug in one channel of a picture that is no colour, times a number."""
    if not made.has(term):
        return
    path = path_of(texture)
    made.maps.note_use(path, term, channel)
    stem = plain_name(path.rpartition("/")[2].partition(".")[0])
    image = made.maps.image(
        path,
        "float" if channel == "r" and term != "occlusion" else "vector3",
        f"{stem}_image",
        _tiling(texture),
    )
    socket = made.maps.channel(image, channel, f"{term}_channel")
    if factor != 1.0:
        socket = made.maps.node(
            "multiply", "float", f"{term}_factor", in1=socket, in2=number(factor)
        )
    made.plug(term, made.maps.out(socket, term))


def _metallic_roughness(made: Surface, material: Json, pbr: Json, path_of: PathOf) -> None:
    base, factor = pbr.get("baseColorTexture"), pbr.get("baseColorFactor")
    if material.get("alphaMode") == "MASK" and base is not None:
        path = path_of(base)
        image = made.maps.image(path, "color4", "base_color_image")
        opaque = made.maps.node("convert", "color3", "base_color_rgb", **{"in": image})
        made.maps.note_use(path, "base_color", "rgb")
        made.maps.note_use(path, "opacity", "a")
        made.plug("base_color", made.maps.out(opaque, "base_color"))
        made.plug("opacity", made.maps.out(made.maps.channel(image, "a", "cut_out"), "opacity"))
        cut = {"name": "alpha_mode", "type": "integer", "value": "1"}
        made.shader.children.append(Element("input", cut))
    else:
        _coloured(made, "base_color", base, factor, path_of)
    packed = pbr.get("metallicRoughnessTexture")
    for term, channel, key in (("roughness", "g", "roughness"), ("metalness", "b", "metallic")):
        if packed is not None:
            _single(made, term, packed, channel, path_of)
        else:
            made.plug(term, number(pbr.get(f"{key}Factor", 1.0)))


def _specular_glossiness(made: Surface, old: Json, path_of: PathOf) -> None:
    _coloured(made, "base_color", old["diffuseTexture"], old["diffuseFactor"], path_of)
    path = path_of(old["specularGlossinessTexture"])
    image = made.maps.image(path, "color4", "specular_glossiness_image")
    specular = made.maps.node("convert", "color3", "specular_rgb", **{"in": image})
    made.maps.note_use(path, "specular_color", "rgb")
    tinted = made.maps.tinted(specular, old["specularFactor"], "specular_color")
    made.plug("specular_color", made.maps.out(tinted, "specular_color"))
    gloss = made.maps.channel(image, "a", "gloss")
    scaled = made.maps.node(
        "multiply", "float", "gloss_factor", in1=gloss, in2=number(old["glossinessFactor"])
    )
    rough = made.maps.node("invert", "float", "gloss_to_roughness", **{"in": scaled})
    made.maps.note_use(path, "glossiness", "a")
    made.plug("roughness", made.maps.out(rough, "roughness"))
    specular_workflow = {"name": "useSpecularWorkflow", "type": "integer", "value": "1"}
    made.shader.children.append(Element("input", specular_workflow))


def _normal(made: Surface, material: Json, path_of: PathOf) -> None:
    texture = material.get("normalTexture")
    if texture is None:
        return
    path = path_of(texture)
    image = made.maps.image(path, "vector3", "normal_image", _tiling(texture))
    scale = number(texture.get("scale", 1.0))
    mapped = made.maps.node("normalmap", "vector3", "normal_map", **{"in": image, "scale": scale})
    made.maps.note_use(path, "normal", "rgb")
    made.plug("normal", made.maps.out(mapped, "normal"))


def _occlusion(made: Surface, material: Json, path_of: PathOf) -> None:
    texture = material.get("occlusionTexture")
    if texture is None or not made.has("occlusion"):
        return
    path = path_of(texture)
    stem = plain_name(path.rpartition("/")[2].partition(".")[0])
    image = made.maps.image(path, "vector3", f"{stem}_image")
    open_part = made.maps.channel(image, "r", "occlusion_channel")
    strength = number(texture.get("strength", 1.0))
    mixed = made.maps.node(
        "mix", "float", "occlusion_strength", fg=open_part, bg=number(1.0), mix=strength
    )
    made.maps.note_use(path, "occlusion", "r")
    made.plug("occlusion", made.maps.out(mixed, "occlusion"))


def _emission(made: Surface, material: Json, more: Json, path_of: PathOf) -> None:
    if "emissiveFactor" not in material:
        return
    texture = material.get("emissiveTexture")
    _coloured(made, "emissive", texture, material["emissiveFactor"], path_of)
    strength = more.get("KHR_materials_emissive_strength", {}).get("emissiveStrength", 1.0)
    made.plug("emissive_strength", number(strength))


def _specular(made: Surface, block: Json, path_of: PathOf) -> None:
    if block:
        texture, factor = block.get("specularColorTexture"), block.get("specularColorFactor")
        _coloured(made, "specular_color", texture, factor, path_of)


def _coat(made: Surface, block: Json, path_of: PathOf) -> None:
    if block:
        made.plug("coat", number(block["clearcoatFactor"]))
        _single(made, "coat_roughness", block["clearcoatRoughnessTexture"], "g", path_of)


def _sheen(made: Surface, block: Json, path_of: PathOf) -> None:
    """Plug in the sheen: colour and, in alpha of the same picture, its roughness."""
    if not block:
        return
    texture = block["sheenColorTexture"]
    path = path_of(texture)
    image = made.maps.image(path, "color4", "sheen_image", _tiling(texture))
    dyed = made.maps.node("convert", "color3", "sheen_rgb", **{"in": image})
    made.maps.note_use(path, "sheen_color", "rgb")
    tinted = made.maps.tinted(dyed, block["sheenColorFactor"], "sheen_color")
    made.plug("sheen_color", made.maps.out(tinted, "sheen_color"))
    rough = made.maps.node(
        "multiply",
        "float",
        "sheen_roughness_factor",
        in1=made.maps.channel(image, "a", "sheen_alpha"),
        in2=number(block["sheenRoughnessFactor"]),
    )
    made.maps.note_use(path, "roughness", "a")
    made.plug("sheen_roughness", made.maps.out(rough, "sheen_roughness"))


def _volume(made: Surface, more: Json, path_of: PathOf) -> None:
    clear, volume = more.get("KHR_materials_transmission"), more.get("KHR_materials_volume")
    if clear:
        factor = clear["transmissionFactor"]
        _single(made, "transmission", clear["transmissionTexture"], "r", path_of, factor)
    if volume:
        made.plug("transmission_depth", number(volume["attenuationDistance"]))
        _coloured(made, "transmission_color", None, volume["attenuationColor"], path_of)
