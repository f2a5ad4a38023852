"""The card as glTF 2.0."""

from __future__ import annotations

from typing import Any

import numpy as np

from primecoat.demo.geometry import Mesh
from primecoat.demo.gltf_buffer import pack_meshes
from primecoat.demo.tableware import Part
from primecoat.proof.card.inputs import LAMP_COLOUR
from primecoat.proof.card.layout import ASPECT, CAMERA, CAMERA_ANGLE, LIGHTS, STRENGTHS
from primecoat.proof.card.surface import UVS, Quad, Surface, quads
from primecoat.proof.card.turned import turn_to

Json = dict[str, Any]

FILE, BUFFER = "card.gltf", "card.bin"
CANNOT = (
    "a light by temperature: KHR_lights_punctual has colours only",
    "an environment picture: no ratified extension has one",
    "a declaration: glTF fixes the encoding of each slot, whatever a file says of itself",
    "a float picture: glTF takes PNG and JPEG",
)
"""What of the card glTF does not express."""

_LEFT_OUT = ("float_color",)


def gltf_scene() -> tuple[Json, bytes]:
    """Return the glTF document and the bytes of its buffer."""
    squares = [quad for quad in quads() if quad.surface.given not in _LEFT_OUT]
    surfaces = list({quad.surface.name: quad.surface for quad in squares}.values())
    packed = pack_meshes([_part(quad) for quad in squares], [s.name for s in surfaces])
    pictures = [surface.path for surface in surfaces if surface.path]
    lights = [name for name in LIGHTS if name != "warm"]
    nodes: list[Json] = [{"name": quad.name, "mesh": n} for n, quad in enumerate(squares)]
    nodes += [
        {
            "name": f"{name} light",
            "rotation": list(turn_to(*LIGHTS[name])),
            "extensions": {"KHR_lights_punctual": {"light": number}},
        }
        for number, name in enumerate(lights)
    ]
    nodes.append({"name": "camera", "translation": [0.0, 0.0, CAMERA], "camera": 0})
    yfov = float(np.radians(CAMERA_ANGLE))
    seen = {"yfov": yfov, "aspectRatio": ASPECT, "znear": 1.0, "zfar": 100.0}
    document = {
        "asset": {"version": "2.0", "generator": "primecoat card"},
        "extensionsUsed": [
            "KHR_lights_punctual",
            "KHR_materials_emissive_strength",
            "KHR_materials_ior",
        ],
        "scene": 0,
        "scenes": [{"name": "test card", "nodes": list(range(len(nodes)))}],
        "nodes": nodes,
        "cameras": [{"name": "camera", "type": "perspective", "perspective": seen}],
        "meshes": packed.meshes,
        "materials": [_material(surface, pictures) for surface in surfaces],
        "textures": [{"sampler": 0, "source": n} for n in range(len(pictures))],
        "images": [{"uri": path} for path in pictures],
        "samplers": [{"magFilter": 9729, "minFilter": 9729, "wrapS": 33071, "wrapT": 33071}],
        "accessors": packed.accessors,
        "bufferViews": packed.views,
        "buffers": [{"uri": BUFFER, "byteLength": len(packed.data)}],
        "extensions": {
            "KHR_lights_punctual": {
                "lights": [
                    {
                        "name": name,
                        "type": "directional",
                        "color": list(LAMP_COLOUR) if name == "lamp" else [1.0, 1.0, 1.0],
                        "intensity": float(np.pi) * STRENGTHS[name],
                    }
                    for name in lights
                ]
            }
        },
    }
    return document, packed.data


def _part(quad: Quad) -> Part:
    points = quad.corners.astype(np.float32)
    normal = np.cross(points[1] - points[0], points[3] - points[0])
    mesh = Mesh(
        positions=points,
        normals=np.tile(normal / np.linalg.norm(normal), (4, 1)).astype(np.float32),
        texcoords=np.array([(u, 1 - v) for u, v in UVS], np.float32),
        indices=np.array([(0, 1, 2), (0, 2, 3)], np.uint32),
    )
    return Part(name=quad.name, material=quad.surface.name, mesh=mesh)


def _material(surface: Surface, pictures: list[str]) -> Json:
    texture = {"index": pictures.index(surface.path)} if surface.path else None
    metal: Json = {
        "baseColorFactor": [*surface.base, 1.0],
        "metallicFactor": 0.0,
        "roughnessFactor": 1.0,
    }
    made: Json = {"name": surface.name, "pbrMetallicRoughness": metal}
    made["extensions"] = {"KHR_materials_ior": {"ior": 1.0}}
    match surface.slot:
        case "base_color":
            metal["baseColorTexture"] = texture
        case "metalness":
            metal |= {"metallicFactor": 1.0, "roughnessFactor": 0.0}
            metal["metallicRoughnessTexture"] = texture
        case "normal":
            made["normalTexture"] = texture
    if surface.emission:
        strength = max(surface.emission, 1.0)
        made["emissiveFactor"] = [surface.emission / strength] * 3
        made["extensions"]["KHR_materials_emissive_strength"] = {"emissiveStrength": strength}
    return made
