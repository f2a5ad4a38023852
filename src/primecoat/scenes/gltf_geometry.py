"""Where things stand in a glTF file: triangles, cameras and punctual lights, in the world.

Source: Khronos Group, *glTF 2.0 Specification*, 3.5 (scenes and nodes), 3.7 (geometry), 3.10
(cameras), and KHR_lights_punctual. Skins, morph targets and sparse accessors are not followed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.location import Location
from primecoat.scenes.gltf_accessor import accessor_rows, as_fractions
from primecoat.scenes.gltf_buffers import Buffers
from primecoat.scenes.gltf_document import GltfDocument, as_dict, within

Matrix = NDArray[np.float64]

_TRIANGLES, _STRIP, _FAN = 4, 5, 6
"""Modes of a primitive that make surfaces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Triangles of one material, at one place in the world.

    Parameters
    ----------
    points, normals, places, colours
        One for each point, shape (n, 3) or (n, 2); metres; None where the file has none. Places
        are of the first set, with their first row at the top of a picture.
    triangles
        Shape (m, 3).
    material
        Its number; None for the standard's own plain one.
    colours_at
        Where the vertex colours stand.
    """

    points: NDArray[np.float64]
    triangles: NDArray[np.int32]
    material: int | None
    normals: NDArray[np.float64] | None = None
    places: NDArray[np.float64] | None = None
    colours: NDArray[np.float64] | None = None
    colours_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A camera or light: its own JSON, its number, and the matrix that places it, (4, 4)."""

    content: dict[str, Any]
    number: int
    matrix: Matrix


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """What stands in the file's own scene."""

    placed: tuple[Placed, ...]
    cameras: tuple[Standing, ...]
    lights: tuple[Standing, ...]
    unfollowed: tuple[str, ...]


def geometry(document: GltfDocument, buffers: Buffers) -> Geometry:
    """Return what stands in the document's scene; what cannot be read is told as a problem."""
    placed: list[Placed] = []
    cameras: list[Standing] = []
    lights: list[Standing] = []
    left: dict[str, None] = {}
    meshes, every = document.items("meshes"), document.items("cameras")
    lamps = document.extension_items("KHR_lights_punctual", "lights")
    for node, matrix in _nodes(document):
        number = node.get("mesh")
        if within(number, meshes):
            if "skin" in node:
                left["skins: the mesh stands as it was modelled"] = None
            for one in _primitives(document, buffers, number, left):
                placed.append(_moved(one, matrix))
        if within(node.get("camera"), every):
            at = node["camera"]
            cameras.append(Standing(content=every[at], number=at, matrix=matrix))
        lamp = as_dict(as_dict(node.get("extensions")).get("KHR_lights_punctual")).get("light")
        if within(lamp, lamps):
            lights.append(Standing(content=lamps[lamp], number=lamp, matrix=matrix))
    return Geometry(
        placed=tuple(placed),
        cameras=tuple(cameras),
        lights=tuple(lights),
        unfollowed=tuple(left),
    )


def _nodes(document: GltfDocument) -> Iterator[tuple[dict[str, Any], Matrix]]:
    """Yield each node of the scene with its place in the world; a node met twice only once."""
    nodes, scenes = document.items("nodes"), document.items("scenes")
    chosen = document.root.get("scene", 0)
    roots = scenes[chosen].get("nodes", []) if within(chosen, scenes) else range(len(nodes))
    waiting = [(number, np.eye(4)) for number in reversed(list(roots))]
    met: set[int] = set()
    while waiting:
        number, above = waiting.pop()
        if not within(number, nodes) or number in met:
            continue
        met.add(number)
        node = nodes[number]
        matrix = above @ _matrix(node)
        yield node, matrix
        children = node.get("children", [])
        waiting += [(child, matrix) for child in reversed(children)]


def _matrix(node: dict[str, Any]) -> Matrix:
    given = node.get("matrix")
    if isinstance(given, list) and len(given) == 16:
        return np.array(given, np.float64).reshape(4, 4).T  # columns stand one after the other
    matrix = np.eye(4)
    x, y, z, w = node.get("rotation", (0.0, 0.0, 0.0, 1.0))
    matrix[:3, :3] = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    ) * np.array(node.get("scale", (1.0, 1.0, 1.0)), np.float64)
    matrix[:3, 3] = node.get("translation", (0.0, 0.0, 0.0))
    return matrix


def _moved(one: Placed, matrix: Matrix) -> Placed:
    turned = matrix[:3, :3]
    flipped = np.linalg.det(turned) < 0
    normals = one.normals
    if normals is not None:
        normals = normals @ np.linalg.pinv(turned)
        normals = normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-20)
    return Placed(
        points=one.points @ turned.T + matrix[:3, 3],
        triangles=one.triangles[:, ::-1] if flipped else one.triangles,
        material=one.material,
        normals=normals,
        places=one.places,
        colours=one.colours,
        colours_at=one.colours_at,
    )


def _primitives(
    document: GltfDocument, buffers: Buffers, number: int, left: dict[str, None]
) -> Iterator[Placed]:
    primitives = document.items("meshes")[number].get("primitives")
    for part, item in enumerate(primitives if isinstance(primitives, list) else ()):
        primitive = as_dict(item)
        attributes = as_dict(primitive.get("attributes"))
        pointer = f"/meshes/{number}/primitives/{part}"
        if primitive.get("targets"):
            left["morph targets: the mesh stands as it was modelled"] = None
        if primitive.get("mode", _TRIANGLES) not in (_TRIANGLES, _STRIP, _FAN):
            left["points and lines"] = None
            continue
        rows = _Rows(document, buffers, Location(document.name, pointer))
        points = rows.of(attributes.get("POSITION"))
        if points is None or points.shape[1] != 3:
            document.problem(rows.location, "its points cannot be read")
            continue
        order = rows.whole(primitive.get("indices"), len(points))
        if order is None:
            document.problem(rows.location, "its triangles cannot be read")
            continue
        material = primitive.get("material")
        colours = rows.of(attributes.get("COLOR_0"), len(points))
        yield Placed(
            points=points,
            triangles=_triangles(order, primitive.get("mode", _TRIANGLES)),
            material=material if within(material, document.items("materials")) else None,
            normals=rows.of(attributes.get("NORMAL"), len(points)),
            places=rows.of(attributes.get("TEXCOORD_0"), len(points)),
            colours=None if colours is None else colours[:, :3],
            colours_at=f"{pointer}/attributes/COLOR_0",
        )


@dataclass(frozen=True, slots=True)
class _Rows:
    document: GltfDocument
    buffers: Buffers
    location: Location

    def of(self, index: object, count: int | None = None) -> NDArray[np.float64] | None:
        found = self._stored(index)
        if found is None or (count is not None and len(found) != count):
            return None
        return as_fractions(found)

    def whole(self, index: object, points: int) -> NDArray[np.int32] | None:
        if index is None:
            return np.arange(points, dtype=np.int32)
        found = self._stored(index)
        if found is None or found.dtype.kind == "f" or int(found.max()) >= points:
            return None
        return found[:, 0].astype(np.int32)

    def _stored(self, index: object) -> NDArray[Any] | None:
        accessors, views = self.document.items("accessors"), self.document.items("bufferViews")
        if not within(index, accessors):
            return None
        at = accessors[index].get("bufferView")
        if not within(at, views) or "sparse" in accessors[index]:
            return None
        buffer = self.buffers.buffer(views[at].get("buffer"), self.location)
        return accessor_rows(accessors[index], views[at], buffer) if buffer else None


def _triangles(order: NDArray[np.int32], mode: int) -> NDArray[np.int32]:
    if mode == _TRIANGLES:
        return order[: len(order) // 3 * 3].reshape(-1, 3)
    if mode == _FAN:
        first = np.broadcast_to(order[:1], (len(order) - 2,))
        return np.stack((order[1:-1], order[2:], first), axis=1)
    strip = np.stack((order[:-2], order[1:-1], order[2:]), axis=1)
    strip[1::2] = strip[1::2, [0, 2, 1]]
    return strip
