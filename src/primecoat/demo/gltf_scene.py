"""The tea scene as glTF 2.0: where everything stands, lights and camera."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from primecoat.demo.gltf_buffer import pack_meshes
from primecoat.demo.gltf_materials import materials
from primecoat.demo.gltf_textures import Json, number_textures
from primecoat.demo.tableware import Part, parts

_TABLE = 0.74
"""Height of the table top, metres."""


def gltf_scene(clean: bool) -> tuple[Json, bytes]:
    """Return the glTF document and the bytes of its buffer ``tea.bin``.

    Parameters
    ----------
    clean
        True for the twin without faults.
    """
    surfaces, pictures = number_textures(materials(clean))
    shapes = parts()
    packed = pack_meshes(shapes, [surface["name"] for surface in surfaces])
    nodes, roots = _nodes(shapes)
    document = {
        "asset": {
            "version": "2.0",
            "generator": "primecoat demo",
            "extras": {"pottery": "Hollow Lane", "batch": 7},
        },
        "extensionsUsed": _extensions_used([surfaces, nodes]),
        "scene": 0,
        "scenes": [
            {
                "name": "tea in the courtyard",
                "nodes": roots,
                "extras": {
                    "season": "spring",
                    "time": "16:40",
                    "guests": ["Ada", "Émile", "Øyvind"],
                },
            }
        ],
        "nodes": nodes,
        "cameras": [
            {
                "name": "table view",
                "type": "perspective",
                "perspective": {"yfov": 0.5, "aspectRatio": 1.7777778, "znear": 0.05, "zfar": 50.0},
            }
        ],
        "meshes": packed.meshes,
        "materials": surfaces,
        "textures": [{"sampler": 0, "source": n} for n in range(len(pictures))],
        "images": [{"name": _title(path), "uri": path} for path in pictures],
        "samplers": [{"magFilter": 9729, "minFilter": 9987, "wrapS": 10497, "wrapT": 10497}],
        "accessors": packed.accessors,
        "bufferViews": packed.views,
        "buffers": [{"uri": "tea.bin", "byteLength": len(packed.data)}],
        "extensions": {"KHR_lights_punctual": {"lights": _lights()}},
    }
    return document, packed.data


def _title(path: str) -> str:
    return path.rpartition("/")[2].partition(".")[0].replace("_", " ")


def _extensions_used(value: Any) -> list[str]:
    """Return the names of all extensions that stand anywhere in a value, sorted."""

    def names(item: Any) -> set[str]:
        match item:
            case dict():
                here = set(item.get("extensions", {}))
                return here.union(*(names(part) for part in item.values()))
            case list():
                return set().union(*(names(part) for part in item))
            case _:
                return set()

    return sorted(names(value))


def _lights() -> list[Json]:
    """Return a warm lantern and the cool light of the open sky; colours are linear Rec.709."""
    return [
        {
            "name": "lantern light",
            "type": "point",
            "color": [1.0, 0.57, 0.24],
            "intensity": 18.0,
            "range": 6.0,
        },
        {"name": "sky light", "type": "directional", "color": [0.71, 0.83, 1.0], "intensity": 2.5},
        {
            "name": "doorway light",
            "type": "spot",
            "color": [1.0, 0.86, 0.68],
            "intensity": 240.0,
            "spot": {"innerConeAngle": 0.25, "outerConeAngle": 0.6},
        },
    ]


def _turn(axis: tuple[int, int, int], degrees: float) -> list[float]:
    half = math.radians(degrees) / 2
    return [round(math.sin(half) * part, 7) if part else 0.0 for part in axis] + [
        round(math.cos(half), 7)
    ]


def _nodes(shapes: Sequence[Part]) -> tuple[list[Json], list[int]]:
    """Return the nodes, and the numbers of those that are roots of the scene."""
    number = {part.name: n for n, part in enumerate(shapes)}
    nodes: list[Json] = []

    def put(name: str, mesh: str | None, at: Sequence[float], **more: Any) -> int:
        node: Json = {"name": name}
        if mesh is not None:
            node["mesh"] = number[mesh]
        if any(at):
            node["translation"] = list(at)
        nodes.append({**node, **more})
        return len(nodes) - 1

    def turned(degrees: float) -> dict[str, list[float]]:
        return {"rotation": _turn((0, 1, 0), degrees)}

    pot = [
        put(name, mesh, at)
        for name, mesh, at in (
            ("teapot lid", "teapot lid", (0, 0.133, 0)),
            ("teapot spout", "teapot spout", (0, 0, 0)),
            ("teapot handle", "teapot handle", (0, 0, 0)),
        )
    ]
    tray = [put("teapot", "teapot body", (-0.09, 0.016, -0.05), children=pot, **turned(-24))]
    for count, (x, z, way) in enumerate(((0.02, 0.085, 35.0), (0.18, 0.07, -20.0)), start=1):
        handle = put(f"cup {count} handle", "cup handle", (0, 0, 0))
        cup = put(f"cup {count}", "cup", (0, 0.006, 0), children=[handle])
        tray.append(put(f"saucer {count}", "saucer", (x, 0.016, z), children=[cup], **turned(way)))
    tray.append(put("sugar jar", "sugar jar", (0.08, 0.016, -0.07)))
    tray.append(put("milk jug", "milk jug", (0.19, 0.016, -0.075), **turned(140)))
    dish = put("jam", "jam", (0, 0, 0))
    tray.append(put("jam dish", "jam dish", (-0.13, 0.016, 0.09), children=[dish]))
    tray.append(put("spoon", "spoon", (-0.22, 0.02, 0.15), **turned(12)))
    leaves = [
        put(f"leaf {n}", "leaf", at, **turned(way))
        for n, (at, way) in enumerate(
            (
                ((-0.2, 0.018, 0.05), 30.0),
                ((-0.36, 0.003, 0.2), 110.0),
                ((0.31, 0.003, 0.22), 250.0),
            ),
            start=1,
        )
    ]
    tray.append(put("tray", "tray", (0, 0, 0)))
    laid = put("tray and tea set", None, (0, 0, 0), children=tray, extras={"set": "tea for two"})
    coaster = put("coaster", "coaster", (-0.37, 0.0, 0.05))
    bowl = put("bowl", "bowl", (0.38, 0.0, -0.04))
    glass = put("lantern glass", "lantern glass", (0, 0, 0))
    # above the open rim: the glass lets no light through
    lamp = put(
        "lantern light", None, (0, 0.17, 0), extensions={"KHR_lights_punctual": {"light": 0}}
    )
    lantern = put("lantern", None, (-0.35, 0.0, -0.2), children=[glass, lamp])
    cloth = put("cloth", "cloth", (0, 0, 0))
    on_table = [laid, coaster, bowl, lantern, cloth, *leaves]
    sky, doorway = ({"KHR_lights_punctual": {"light": light}} for light in (1, 2))
    roots = [
        put("on the table", None, (0, _TABLE + 0.005, 0.6), children=on_table),
        put("table", "table", (0, _TABLE - 0.04, 0.6)),
        put("floor", "floor", (0, 0, 0)),
        put("wall ahead", "wall ahead", (0, 0, 0)),
        put("wall beside", "wall beside", (0, 0, 0)),
        put("sky light", None, (0, 3, 0), rotation=_turn((1, 0, 0), -70), extensions=sky),
        put("doorway light", None, (0.9, 1.6, -3.6), **turned(180), extensions=doorway),
        put("camera", None, (0, 1.22, 1.75), rotation=_turn((1, 0, 0), -21), camera=0),
    ]
    return nodes, roots
