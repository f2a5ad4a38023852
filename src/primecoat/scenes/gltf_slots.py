"""Texture slots and colour factors of glTF 2.0 materials, core and KHR_materials_* extensions.

Source: Khronos Group, *glTF 2.0 Specification* 3.9, and the extensions' own texts.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Slot:
    """One texture slot of a material: where it stands and which channels it takes for what."""

    path: tuple[str, ...]
    takes: tuple[tuple[str, str], ...]
    extension: str = ""


SLOTS = (
    Slot(("pbrMetallicRoughness", "baseColorTexture"), (("base_color", "rgb"), ("opacity", "a"))),
    Slot(
        ("pbrMetallicRoughness", "metallicRoughnessTexture"),
        (("roughness", "g"), ("metalness", "b")),
    ),
    Slot(("normalTexture",), (("normal", "rgb"),)),
    Slot(("occlusionTexture",), (("occlusion", "r"),)),
    Slot(("emissiveTexture",), (("emissive", "rgb"),)),
    Slot(("clearcoatTexture",), (("other_data", "r"),), "KHR_materials_clearcoat"),
    Slot(("clearcoatRoughnessTexture",), (("roughness", "g"),), "KHR_materials_clearcoat"),
    Slot(("clearcoatNormalTexture",), (("normal", "rgb"),), "KHR_materials_clearcoat"),
    Slot(("sheenColorTexture",), (("sheen_color", "rgb"),), "KHR_materials_sheen"),
    Slot(("sheenRoughnessTexture",), (("roughness", "a"),), "KHR_materials_sheen"),
    Slot(("specularTexture",), (("other_data", "a"),), "KHR_materials_specular"),
    Slot(("specularColorTexture",), (("specular_color", "rgb"),), "KHR_materials_specular"),
    Slot(("transmissionTexture",), (("other_data", "r"),), "KHR_materials_transmission"),
    Slot(("thicknessTexture",), (("other_data", "g"),), "KHR_materials_volume"),
    Slot(("iridescenceTexture",), (("other_data", "r"),), "KHR_materials_iridescence"),
    Slot(("iridescenceThicknessTexture",), (("other_data", "g"),), "KHR_materials_iridescence"),
    Slot(("anisotropyTexture",), (("other_data", "rgb"),), "KHR_materials_anisotropy"),
    Slot(
        ("diffuseTransmissionTexture",),
        (("other_data", "a"),),
        "KHR_materials_diffuse_transmission",
    ),
    Slot(
        ("diffuseTransmissionColorTexture",),
        (("transmission_color", "rgb"),),
        "KHR_materials_diffuse_transmission",
    ),
    Slot(
        ("diffuseTexture",),
        (("base_color", "rgb"), ("opacity", "a")),
        "KHR_materials_pbrSpecularGlossiness",
    ),
    Slot(
        ("specularGlossinessTexture",),
        (("specular_color", "rgb"), ("glossiness", "a")),
        "KHR_materials_pbrSpecularGlossiness",
    ),
)

FACTORS = (
    (("pbrMetallicRoughness", "baseColorFactor"), "base_color", ""),
    (("emissiveFactor",), "emissive", ""),
    (("sheenColorFactor",), "sheen_color", "KHR_materials_sheen"),
    (("specularColorFactor",), "specular_color", "KHR_materials_specular"),
    (("attenuationColor",), "transmission_color", "KHR_materials_volume"),
    (
        ("diffuseTransmissionColorFactor",),
        "transmission_color",
        "KHR_materials_diffuse_transmission",
    ),
    (("diffuseFactor",), "base_color", "KHR_materials_pbrSpecularGlossiness"),
    (("specularFactor",), "specular_color", "KHR_materials_pbrSpecularGlossiness"),
)
