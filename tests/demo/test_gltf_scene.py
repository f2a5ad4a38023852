from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

Json = dict[str, Any]

WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
TYPES: dict[int, np.dtype[Any]] = {
    5126: np.dtype("<f4"),
    5123: np.dtype("<u2"),
    5125: np.dtype("<u4"),
}


@pytest.fixture
def document(twin: Path) -> Json:
    return dict(json.loads((twin / "tea.gltf").read_text(encoding="utf-8")))


@pytest.fixture
def buffer(twin: Path) -> bytes:
    return (twin / "tea.bin").read_bytes()


def array(document: Json, buffer: bytes, number: int) -> np.ndarray[Any, Any]:
    accessor = document["accessors"][number]
    view = document["bufferViews"][accessor["bufferView"]]
    kind, width = TYPES[accessor["componentType"]], WIDTHS[accessor["type"]]
    assert view["byteOffset"] % 4 == 0
    assert accessor["count"] * width * kind.itemsize == view["byteLength"]
    assert view["byteOffset"] + view["byteLength"] <= len(buffer)
    flat = np.frombuffer(buffer, kind, accessor["count"] * width, view["byteOffset"])
    return np.asarray(flat.reshape(accessor["count"], width))


def primitives(document: Json) -> list[Json]:
    return [primitive for mesh in document["meshes"] for primitive in mesh["primitives"]]


def test_buffer_is_as_long_as_said(document: Json, buffer: bytes) -> None:
    assert document["buffers"] == [{"uri": "tea.bin", "byteLength": len(buffer)}]


def test_meshes_are_whole(document: Json, buffer: bytes) -> None:
    for primitive in primitives(document):
        attributes = primitive["attributes"]
        positions = array(document, buffer, attributes["POSITION"])
        limits = document["accessors"][attributes["POSITION"]]
        assert limits["min"] == [float(x) for x in positions.min(axis=0)]
        assert limits["max"] == [float(x) for x in positions.max(axis=0)]
        indices = array(document, buffer, primitive["indices"]).ravel()
        assert indices.max() < len(positions)
        assert len(indices) % 3 == 0
        for name, number in attributes.items():
            values = array(document, buffer, number)
            assert len(values) == len(positions), name
            assert np.isfinite(values).all(), name
        normals = array(document, buffer, attributes["NORMAL"])
        tangents = array(document, buffer, attributes["TANGENT"])
        assert np.abs(np.linalg.norm(normals, axis=1) - 1).max() < 1e-5
        assert np.abs(np.linalg.norm(tangents[:, :3], axis=1) - 1).max() < 1e-5
        assert np.abs((normals * tangents[:, :3]).sum(axis=1)).max() < 1e-4
        assert set(np.unique(tangents[:, 3])) <= {-1.0, 1.0}


def test_triangles_face_as_their_normals(document: Json, buffer: bytes) -> None:
    for primitive in primitives(document):
        positions = array(document, buffer, primitive["attributes"]["POSITION"])
        normals = array(document, buffer, primitive["attributes"]["NORMAL"])
        triangles = array(document, buffer, primitive["indices"]).reshape(-1, 3)
        a, b, c = (positions[triangles[:, corner]].astype(float) for corner in range(3))
        facing = np.cross(b - a, c - a)
        assert (np.sum(facing * normals[triangles].sum(axis=1), axis=1) > 0).all()


def test_every_index_is_in_range(document: Json) -> None:
    sizes = {key: len(value) for key, value in document.items() if isinstance(value, list)}
    assert document["scene"] < sizes["scenes"]
    children = [child for node in document["nodes"] for child in node.get("children", [])]
    roots = document["scenes"][0]["nodes"]
    assert sorted(children + roots) == list(range(sizes["nodes"])), "each node has one parent"
    assert all(node.get("mesh", 0) < sizes["meshes"] for node in document["nodes"])
    assert all(primitive["material"] < sizes["materials"] for primitive in primitives(document))
    assert all(texture["source"] < sizes["images"] for texture in document["textures"])
    assert all(texture["sampler"] < sizes["samplers"] for texture in document["textures"])
    used = [primitive["material"] for primitive in primitives(document)]
    assert set(used) == set(range(sizes["materials"])), "no material is idle"
    meshes = {node["mesh"] for node in document["nodes"] if "mesh" in node}
    assert meshes == set(range(sizes["meshes"])), "no mesh is idle"


def test_every_texture_is_used_and_every_extension_is_named(document: Json) -> None:
    found: dict[str, set[Any]] = {"index": set(), "extensions": set()}

    def walk(value: Any) -> None:
        if isinstance(value, dict):
            found["extensions"] |= set(value.get("extensions", {}))
            if isinstance(value.get("index"), int):
                found["index"].add(value["index"])
        for item in value.values() if isinstance(value, dict) else value:
            if isinstance(item, dict | list):
                walk(item)

    walk(document)
    assert found["index"] == set(range(len(document["textures"])))
    assert sorted(found["extensions"]) == document["extensionsUsed"]


def test_scene_has_what_a_survey_should_meet(document: Json, buffer: bytes) -> None:
    lights = document["extensions"]["KHR_lights_punctual"]["lights"]
    assert any(light["color"][0] > light["color"][2] for light in lights), "a warm one"
    assert any(light["color"][0] < light["color"][2] for light in lights), "a cool one"
    assert document["cameras"]
    assert document["scenes"][0]["extras"]
    leaf = next(m for m in document["materials"] if m["name"] == "bay leaf")
    assert leaf["alphaMode"] == "MASK"
    coloured = [p for p in primitives(document) if "COLOR_0" in p["attributes"]]
    assert len(coloured) == 1
    values = array(document, buffer, coloured[0]["attributes"]["COLOR_0"])
    assert values.min() >= 0
    assert values.max() <= 1


def test_an_edit_of_one_value_changes_one_line(twin: Path) -> None:
    text = (twin / "tea.gltf").read_text(encoding="utf-8")
    assert json.dumps(json.loads(text), indent=2, ensure_ascii=False) + "\n" == text
    assert "Émile" in text
