"""Meshes as the bytes, views and accessors of a glTF 2.0 buffer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.demo.tableware import Part

Json = dict[str, Any]

_FLOAT, _UNSIGNED_SHORT, _UNSIGNED_INT = 5126, 5123, 5125
_VERTICES, _INDICES = 34962, 34963
_TYPES = {1: "SCALAR", 2: "VEC2", 3: "VEC3", 4: "VEC4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PackedMeshes:
    """A buffer and what describes it."""

    data: bytes
    views: list[Json]
    accessors: list[Json]
    meshes: list[Json]


def pack_meshes(parts: Sequence[Part], material_names: Sequence[str]) -> PackedMeshes:
    """Return one buffer with all meshes; each array has its own view, aligned to 4 bytes."""
    data = bytearray()
    views: list[Json] = []
    accessors: list[Json] = []

    def store(array: NDArray[Any], target: int, *, limits: bool = False) -> int:
        data.extend(bytes(-len(data) % 4))
        stored = np.ascontiguousarray(array, dtype=array.dtype.newbyteorder("<")).tobytes()
        views.append(
            {"buffer": 0, "byteOffset": len(data), "byteLength": len(stored), "target": target}
        )
        data.extend(stored)
        kind = {"float32": _FLOAT, "uint16": _UNSIGNED_SHORT, "uint32": _UNSIGNED_INT}
        accessor: Json = {
            "bufferView": len(views) - 1,
            "componentType": kind[array.dtype.name],
            "count": len(array),
            "type": _TYPES[array.shape[1] if array.ndim > 1 else 1],
        }
        if limits:
            accessor["min"] = [float(x) for x in array.min(axis=0)]
            accessor["max"] = [float(x) for x in array.max(axis=0)]
        accessors.append(accessor)
        return len(accessors) - 1

    meshes = []
    for part in parts:
        mesh = part.mesh
        attributes = {
            "POSITION": store(mesh.positions, _VERTICES, limits=True),
            "NORMAL": store(mesh.normals, _VERTICES),
            "TEXCOORD_0": store(mesh.texcoords, _VERTICES),
        }
        if mesh.tangents is not None:
            attributes["TANGENT"] = store(mesh.tangents, _VERTICES)
        if mesh.colours is not None:
            attributes["COLOR_0"] = store(mesh.colours, _VERTICES, limits=True)
        small = len(mesh.positions) < 65535
        flat = mesh.indices.ravel().astype(np.uint16 if small else np.uint32)
        primitive = {
            "attributes": attributes,
            "indices": store(flat, _INDICES),
            "material": material_names.index(part.material),
        }
        meshes.append({"name": part.name, "primitives": [primitive]})
    data.extend(bytes(-len(data) % 4))
    return PackedMeshes(data=bytes(data), views=views, accessors=accessors, meshes=meshes)
