"""The glazes of the tea set as glTF 2.0 materials."""

from __future__ import annotations

from primecoat.demo.gltf_textures import Json, picture


def celadon() -> Json:
    """Return the teapot's glaze under a thin clear coat."""
    orm = "textures/teapot_occlusion_roughness_metalness.png"
    return {
        "name": "celadon glaze",
        "pbrMetallicRoughness": {
            "baseColorFactor": [0.94, 0.97, 0.92, 1.0],
            "baseColorTexture": picture("textures/teapot_color.png"),
            "metallicRoughnessTexture": picture(orm),
        },
        "normalTexture": picture("textures/teapot_normal.png", scale=0.8),
        "occlusionTexture": picture(orm, strength=0.9),
        "extensions": {
            "KHR_materials_clearcoat": {
                "clearcoatFactor": 0.6,
                "clearcoatRoughnessFactor": 1.0,
                "clearcoatRoughnessTexture": picture("textures/teapot_coat_roughness.png"),
            },
            "KHR_materials_ior": {"ior": 1.52},
        },
        "extras": {
            "recipe": {"feldspar": 42.5, "silica": 27, "whiting": 18, "iron oxide": 1.5},
            "kiln": {"firing": "reduction", "cone": 10, "shelf": None},
        },
    }


def porcelain(color: str) -> Json:
    """Return painted porcelain with gold lustre at the rim."""
    return {
        "name": "cobalt porcelain",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture(color),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.14,
        },
        "extensions": {
            "KHR_materials_specular": {
                "specularFactor": 1.0,
                "specularColorFactor": [1.0, 0.96, 0.9],
                "specularColorTexture": picture("textures/cup_specular_color.png"),
            }
        },
    }


def stoneware(color: str, roughness: str) -> Json:
    """Return speckled stoneware under a clear coat."""
    return {
        "name": "stoneware",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture(color),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.55,
        },
        "extensions": {
            "KHR_materials_clearcoat": {
                "clearcoatFactor": 0.7,
                "clearcoatRoughnessFactor": 1.0,
                "clearcoatRoughnessTexture": picture(roughness),
            }
        },
    }


def tenmoku(color: str, normal: str) -> Json:
    """Return the bowl's dark glaze."""
    return {
        "name": "tenmoku glaze",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture(color),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.22,
        },
        "normalTexture": picture(normal),
        "extras": {"signed": "H. L., spring firing", "seconds": False},
    }


def turquoise(occlusion: str) -> Json:
    """Return the sugar jar's fluted glaze."""
    return {
        "name": "turquoise glaze",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/sugar_jar_color.png"),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.13,
        },
        "normalTexture": picture("textures/sugar_jar_normal.png"),
        "occlusionTexture": picture(occlusion, strength=0.75),
    }


def plum() -> Json:
    """Return the one old material of the set: it still describes itself by glossiness."""
    return {
        "name": "plum glaze",
        "pbrMetallicRoughness": {
            "baseColorFactor": [0.36, 0.21, 0.26, 1.0],
            "metallicFactor": 0.0,
            "roughnessFactor": 0.25,
        },
        "extensions": {
            "KHR_materials_pbrSpecularGlossiness": {
                "diffuseFactor": [0.98, 0.96, 0.94, 1.0],
                "diffuseTexture": picture("textures/milk_jug_color.png"),
                "specularFactor": [0.9, 0.9, 0.92],
                "glossinessFactor": 0.95,
                "specularGlossinessTexture": picture("textures/milk_jug_specular_glossiness.png"),
            }
        },
    }
