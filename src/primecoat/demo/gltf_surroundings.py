"""What is not glazed, as glTF 2.0 materials."""

from __future__ import annotations

from primecoat.demo.gltf_textures import Json, picture


def brass() -> Json:
    """Return brushed brass."""
    return {
        "name": "brass",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/brass_color.png"),
            "metallicRoughnessTexture": picture("textures/brass_roughness_metalness.png"),
        },
        "normalTexture": picture("textures/brass_normal.png", scale=0.6),
        "extensions": {
            "KHR_materials_anisotropy": {"anisotropyStrength": 0.5, "anisotropyRotation": 0.0}
        },
    }


def jam(color: str) -> Json:
    """Return translucent fruit preserve."""
    return {
        "name": "jam",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture(color),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.08,
        },
        "extensions": {
            "KHR_materials_transmission": {
                "transmissionFactor": 0.85,
                "transmissionTexture": picture("textures/jam_transmission.png"),
            },
            "KHR_materials_volume": {
                "thicknessFactor": 0.014,
                "attenuationDistance": 0.006,
                "attenuationColor": [0.72, 0.035, 0.028],
            },
            "KHR_materials_ior": {"ior": 1.41},
        },
    }


def cork(color: str) -> Json:
    """Return the coaster's cork."""
    return {
        "name": "cork",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture(color),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.9,
        },
    }


def lantern() -> Json:
    """Return glowing lantern glass."""
    return {
        "name": "lantern glass",
        "pbrMetallicRoughness": {
            "baseColorFactor": [0.62, 0.47, 0.3, 1.0],
            "metallicFactor": 0.0,
            "roughnessFactor": 0.2,
        },
        "emissiveFactor": [1.0, 0.88, 0.7],
        "emissiveTexture": picture("textures/lantern_emissive.png"),
        "extensions": {"KHR_materials_emissive_strength": {"emissiveStrength": 6.0}},
        "doubleSided": True,
    }


def oak() -> Json:
    """Return oiled oak."""
    return {
        "name": "oak",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/oak_board_color.jpg"),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.5,
        },
        "normalTexture": picture("textures/oak_board_normal.png"),
    }


def linen() -> Json:
    """Return washed linen; one picture holds the sheen's colour and, in alpha, its roughness."""
    tiling = {"KHR_texture_transform": {"scale": [3.0, 2.3333]}}
    sheen = "textures/cloth_sheen.png"
    return {
        "name": "linen",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/cloth_color.png", extensions=tiling),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.92,
        },
        "normalTexture": picture("textures/cloth_normal.png", extensions=tiling),
        "extensions": {
            "KHR_materials_sheen": {
                "sheenColorFactor": [0.8, 0.82, 0.86],
                "sheenColorTexture": picture(sheen, extensions=tiling),
                "sheenRoughnessFactor": 0.9,
                "sheenRoughnessTexture": picture(sheen, extensions=tiling),
            }
        },
        "doubleSided": True,
    }


def leaf() -> Json:
    """Return a thin leaf, cut out by alpha."""
    return {
        "name": "bay leaf",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/leaf_color.png"),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.45,
        },
        "alphaMode": "MASK",
        "alphaCutoff": 0.5,
        "doubleSided": True,
        "extensions": {
            "KHR_materials_diffuse_transmission": {
                "diffuseTransmissionFactor": 0.35,
                "diffuseTransmissionColorFactor": [0.32, 0.45, 0.06],
            }
        },
    }


def paving() -> Json:
    """Return the courtyard's flags."""
    return {
        "name": "paving",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/paving_color.jpg"),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.8,
        },
    }


def bricks() -> Json:
    """Return the courtyard's wall."""
    return {
        "name": "brick wall",
        "pbrMetallicRoughness": {
            "baseColorTexture": picture("textures/wall_color.jpg"),
            "metallicFactor": 0.0,
            "roughnessFactor": 0.9,
        },
        "normalTexture": picture("textures/wall_normal.png", scale=1.0),
        "occlusionTexture": picture("textures/wall_occlusion.png"),
    }
