"""Which slots of a glTF document hold pictures and colours, by the glTF standards' own words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Json = dict[str, Any]
Channels = tuple[tuple[str, str], ...]

_NORMAL: Channels = (("normal", "rgb"),)
_BASE: Channels = (("base_color", "rgb"),)

_TEXTURES: dict[str, dict[str, Channels]] = {
    "": {
        "normalTexture": _NORMAL,
        "occlusionTexture": (("occlusion", "r"),),
        "emissiveTexture": (("emissive", "rgb"),),
    },
    "pbrMetallicRoughness": {
        "baseColorTexture": _BASE,
        "metallicRoughnessTexture": (("roughness", "g"), ("metalness", "b")),
    },
    "KHR_materials_clearcoat": {
        "clearcoatTexture": (("other_data", "r"),),
        "clearcoatRoughnessTexture": (("roughness", "g"),),
        "clearcoatNormalTexture": _NORMAL,
    },
    "KHR_materials_sheen": {
        "sheenColorTexture": (("sheen_color", "rgb"),),
        "sheenRoughnessTexture": (("roughness", "a"),),
    },
    "KHR_materials_specular": {
        "specularTexture": (("other_data", "a"),),
        "specularColorTexture": (("specular_color", "rgb"),),
    },
    "KHR_materials_transmission": {"transmissionTexture": (("other_data", "r"),)},
    "KHR_materials_volume": {"thicknessTexture": (("other_data", "g"),)},
    "KHR_materials_iridescence": {
        "iridescenceTexture": (("other_data", "r"),),
        "iridescenceThicknessTexture": (("other_data", "g"),),
    },
    "KHR_materials_anisotropy": {"anisotropyTexture": (("other_data", "rgb"),)},
    "KHR_materials_diffuse_transmission": {
        "diffuseTransmissionTexture": (("other_data", "a"),),
        "diffuseTransmissionColorTexture": (("transmission_color", "rgb"),),
    },
    "KHR_materials_pbrSpecularGlossiness": {
        "diffuseTexture": _BASE,
        "specularGlossinessTexture": (("specular_color", "rgb"), ("glossiness", "a")),
    },
}

_COLOURS: dict[str, dict[str, str]] = {
    "": {"emissiveFactor": "emissive"},
    "pbrMetallicRoughness": {"baseColorFactor": "base_color"},
    "KHR_materials_sheen": {"sheenColorFactor": "sheen_color"},
    "KHR_materials_specular": {"specularColorFactor": "specular_color"},
    "KHR_materials_volume": {"attenuationColor": "transmission_color"},
    "KHR_materials_diffuse_transmission": {"diffuseTransmissionColorFactor": "transmission_color"},
    "KHR_materials_pbrSpecularGlossiness": {
        "diffuseFactor": "base_color",
        "specularFactor": "specular_color",
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureUse:
    """A picture in a slot of a material."""

    path: str
    owner: str
    slot: str
    channels: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourUse:
    """A colour, or a list of ``count`` colours between ``low`` and ``high``, by JSON pointer."""

    location: str
    slot: str
    low: tuple[float, ...]
    high: tuple[float, ...]
    count: int | None = None


def gltf_uses(document: Json) -> Iterator[PictureUse]:
    """Give every use of a picture, in the order of the document."""
    for material in document["materials"]:
        masked = material.get("alphaMode", "OPAQUE") in ("MASK", "BLEND")
        for group, _, block in _blocks(material):
            for key, plain in _TEXTURES.get(group, {}).items():
                if key not in block:
                    continue
                texture = document["textures"][block[key]["index"]]
                path = document["images"][texture["source"]]["uri"]
                cut_out: Channels = (("opacity", "a"),) if masked and plain == _BASE else ()
                for slot, channels in (*plain, *cut_out):
                    owner = material["name"]
                    yield PictureUse(path=path, owner=owner, slot=slot, channels=channels)


def gltf_colours(document: Json) -> Iterator[ColourUse]:
    """Give every colour that stands in the document: factors, lights, vertex colours."""
    for number, material in enumerate(document["materials"]):
        for group, pointer, block in _blocks(material):
            for key, slot in _COLOURS.get(group, {}).items():
                if key in block:
                    value = tuple(block[key][:3])
                    place = f"/materials/{number}{pointer}/{key}"
                    yield ColourUse(location=place, slot=slot, low=value, high=value)
    lights = document["extensions"]["KHR_lights_punctual"]["lights"]
    for number, light in enumerate(lights):
        place = f"/extensions/KHR_lights_punctual/lights/{number}/color"
        value = tuple(light["color"])
        yield ColourUse(location=place, slot="light_color", low=value, high=value)
    for number, mesh in enumerate(document["meshes"]):
        for part, primitive in enumerate(mesh["primitives"]):
            if "COLOR_0" in primitive["attributes"]:
                accessor = document["accessors"][primitive["attributes"]["COLOR_0"]]
                yield ColourUse(
                    location=f"/meshes/{number}/primitives/{part}/attributes/COLOR_0",
                    slot="base_color",
                    low=tuple(accessor["min"][:3]),
                    high=tuple(accessor["max"][:3]),
                    count=accessor["count"],
                )


def _blocks(material: Json) -> Iterator[tuple[str, str, Json]]:
    """Give the parts of a material that hold slots: name, JSON pointer, content."""
    yield "", "", material
    yield "pbrMetallicRoughness", "/pbrMetallicRoughness", material.get("pbrMetallicRoughness", {})
    for name, block in material.get("extensions", {}).items():
        yield name, f"/extensions/{name}", block
