"""What each open shading model calls the terms of a glTF material; empty where it has none.

Sources: MaterialX 1.39 libraries (``gltf_pbr`` 2.0.1, ``standard_surface`` 1.0.1,
``open_pbr_surface`` 1.1.1, ``UsdPreviewSurface`` 2.6).
"""

from __future__ import annotations

TERMS: dict[str, dict[str, str]] = {
    "gltf_pbr": {
        "base_color": "base_color",
        "metalness": "metallic",
        "roughness": "roughness",
        "normal": "normal",
        "occlusion": "occlusion",
        "emissive": "emissive",
        "emissive_strength": "emissive_strength",
        "specular_color": "specular_color",
        "coat": "clearcoat",
        "coat_roughness": "clearcoat_roughness",
        "opacity": "alpha",
        "ior": "ior",
    },
    "standard_surface": {
        "base_color": "base_color",
        "metalness": "metalness",
        "roughness": "specular_roughness",
        "normal": "normal",
        "specular_color": "specular_color",
        "anisotropy": "specular_anisotropy",
    },
    "open_pbr_surface": {
        "base_color": "base_color",
        "metalness": "base_metalness",
        "roughness": "specular_roughness",
        "normal": "geometry_normal",
        "transmission": "transmission_weight",
        "transmission_depth": "transmission_depth",
        "transmission_color": "transmission_color",
        "sheen_color": "fuzz_color",
        "sheen_roughness": "fuzz_roughness",
        "ior": "specular_ior",
    },
    "UsdPreviewSurface": {
        "base_color": "diffuseColor",
        "metalness": "metallic",
        "roughness": "roughness",
        "normal": "normal",
        "occlusion": "occlusion",
        "specular_color": "specularColor",
        "height": "displacement",
    },
}
"""Shading model to term to input."""

MODELS: dict[str, str] = {
    "brass": "standard_surface",
    "cobalt porcelain": "standard_surface",
    "jam": "open_pbr_surface",
    "linen": "open_pbr_surface",
    "plum glaze": "UsdPreviewSurface",
    "brick wall": "UsdPreviewSurface",
}
"""Material to shading model; the others are ``gltf_pbr``."""
