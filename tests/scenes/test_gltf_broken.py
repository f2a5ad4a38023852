"""glTF files that are broken: one finding for each fault, and the rest is still read."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import pytest
from tests.scenes import builders as b

from primecoat.errors import InputError
from primecoat.scenes.formats import gltf

NAN = float("nan")
INFINITY = float("inf")
BROKEN: dict[str, tuple[dict[str, Any], str]] = {
    "texture index too high": (b.gltf([], [b.BASE_COLOUR]), "names texture 0, of 0"),
    "texture index negative": (
        b.gltf([{"uri": "a.png"}], [{"normalTexture": {"index": -1}}]),
        "names texture -1",
    ),
    "texture index is text": (
        b.gltf([{"uri": "a.png"}], [{"normalTexture": {"index": "0"}}]),
        "names texture '0'",
    ),
    "no texture index": (b.gltf([{"uri": "a.png"}], [{"normalTexture": {}}]), "texture None"),
    "source too high": (
        b.gltf([{"uri": "a.png"}], textures=[{"source": 7}]),
        "names image 7, of 1",
    ),
    "source is missing": (b.gltf([{"uri": "a.png"}], textures=[{}]), "names image None, of 1"),
    "image without anything": (b.gltf([{}]), "neither a uri nor a buffer view"),
    "buffer view too high": (b.gltf([{"bufferView": 3}]), "neither a uri nor a buffer view"),
    "buffer too high": (
        b.gltf([{"bufferView": 0}], bufferViews=[{"buffer": 4, "byteLength": 1}]),
        "names buffer 4, of 0",
    ),
    "buffer view with a negative offset": (
        b.gltf(
            [{"bufferView": 0}],
            bufferViews=[{"buffer": 0, "byteOffset": -2, "byteLength": 1}],
            buffers=[{"uri": "data:;base64,AAAA"}],
        ),
        "no sound offset",
    ),
    "buffer that is not there": (
        b.gltf(
            [{"bufferView": 0}],
            bufferViews=[{"buffer": 0, "byteLength": 1}],
            buffers=[{"uri": "gone.bin"}],
        ),
        "cannot be read: No such file",
    ),
    "buffer outside": (
        b.gltf(
            [{"bufferView": 0}],
            bufferViews=[{"buffer": 0, "byteLength": 1}],
            buffers=[{"uri": "../../etc/passwd"}],
        ),
        "outside the scene's folder",
    ),
    "buffer with a name no system can hold": (
        b.gltf(
            [{"bufferView": 0}],
            bufferViews=[{"buffer": 0, "byteLength": 1}],
            buffers=[{"uri": "a%00b.bin"}],
        ),
        "cannot be read",
    ),
    "buffer that holds nothing": (
        b.gltf([{"bufferView": 0}], bufferViews=[{"buffer": 0, "byteLength": 1}], buffers=[{}]),
        "holds nothing",
    ),
    "data URI without base64": (b.gltf([{"uri": "data:image/png,abc"}]), "no base64 picture"),
    "data URI of other letters": (b.gltf([{"uri": "data:image/png;base64,äöü="}]), "no base64"),
    "data URI cut short": (b.gltf([{"uri": "data:image/png;base64,AAA"}]), "no base64"),
    "factor of two numbers": (b.gltf([], [{"emissiveFactor": [1, 2]}]), "3 or 4 numbers"),
    "factor that is text": (b.gltf([], [{"emissiveFactor": "red"}]), "3 or 4 numbers"),
    "factor that is not a number": (b.gltf([], [{"emissiveFactor": [NAN, 0, 0]}]), "3 or 4"),
    "factor without end": (b.gltf([], [{"emissiveFactor": [0, INFINITY, 0]}]), "3 or 4 numbers"),
    "factor beyond float32": (b.gltf([], [{"emissiveFactor": [10**400, 0, 0]}]), "3 or 4 numbers"),
    "light colour": (
        b.gltf([], [], extensions={"KHR_lights_punctual": {"lights": [{"color": 3}]}}),
        "3 or 4 numbers",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_one_finding_at_the_place(name: str, tmp_path: Path):
    """Each fault inside a scene is one finding that names its place, and nothing is raised."""
    document, words = BROKEN[name]
    scene = gltf.read(b.write_gltf(tmp_path / "s.gltf", document), "s.gltf")
    assert [p.name for p in scene.problems] == ["reference_in_scene_is_broken"]
    problem = scene.problems[0]
    assert words in problem.message
    assert problem.location is not None
    assert problem.location.place.startswith(
        ("/materials/0", "/images/0", "/extensions/KHR_lights")
    )
    assert problem.location.place in problem.message
    assert (scene.colours, scene.lights) == ((), ())


@pytest.mark.parametrize(
    "document",
    [
        {"asset": {"version": "2.0"}, "images": 3, "materials": "no", "textures": None},
        {"asset": {"version": "2.0"}, "images": [1, None], "materials": [[], 7, None]},
        {"asset": {}, "materials": [{"pbrMetallicRoughness": 4, "extensions": [1]}]},
        {"asset": {}, "extensions": {"KHR_lights_punctual": {"lights": {"a": 1}}}},
        b.gltf([{"uri": "a.png"}], [{"normalTexture": 5, "emissiveTexture": None}]),
    ],
)
def test_wrong_types_are_survived(document: Any, tmp_path: Path):
    """Values of types that the standard does not allow are passed over; no use comes of them."""
    scene = gltf.read(b.write_gltf(tmp_path / "s.gltf", document), "s.gltf")
    assert (scene.uses, scene.colours, scene.lights) == ((), (), ())


def test_the_sound_part_is_read(tmp_path: Path):
    """A broken slot does not hide the others."""
    materials = [{"normalTexture": {"index": 9}} | b.BASE_COLOUR]
    scene = gltf.read(
        b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": "a.png"}], materials)), "s.gltf"
    )
    assert [u.slot for u in scene.uses] == ["base_color"]
    assert len(scene.problems) == 1


def test_nodes_in_a_circle(tmp_path: Path):
    """A node that is its own grandchild (forbidden by the standard) does not matter here."""
    nodes = [{"children": [1]}, {"children": [0]}]
    document = b.gltf([{"uri": "a.png"}], nodes=nodes, scenes=[{"nodes": [0]}])
    scene = gltf.read(b.write_gltf(tmp_path / "s.gltf", document), "s.gltf")
    assert len(scene.uses) == 1


GARBAGE = {
    "empty": b"",
    "not JSON": b"hello",
    "binary": bytes(range(256)),
    "cut short": b'{"asset": {"version": "2.0"}, "images": [{"ur',
    "a list": b"[1, 2]",
    "null": b"null",
    "no asset": b'{"images": []}',
    "UTF-16": '{"asset": {}}'.encode("utf-16"),
    "deep": b'{"asset": ' + b"[" * 200_000,
    "long number": b'{"asset": {"n": ' + b"9" * 10_000 + b"}}",
}


@pytest.mark.parametrize("name", GARBAGE)
def test_files_that_are_no_gltf(name: str, tmp_path: Path):
    """A file that is no glTF is one error of ours, in one line, that names the file."""
    path = tmp_path / "s.gltf"
    path.write_bytes(GARBAGE[name])
    with pytest.raises(InputError, match=r"Cannot read tea/s\.gltf") as error:
        gltf.read(path, "tea/s.gltf")
    assert "\n" not in str(error.value)


def test_every_cut_of_a_glb(tmp_path: Path):
    """A .glb cut anywhere is an error or a finding as soon as anything is missing."""
    picture = b.png()
    whole = b.glb_with_images(picture)
    path = tmp_path / "s.glb"
    refused = []
    for length in [*range(0, len(whole), 7), len(whole) - 4]:
        path.write_bytes(whole[:length])
        try:
            scene = gltf.read(path, "s.glb")
        except InputError:
            refused.append(length)
            continue
        assert [p.name for p in scene.problems] == ["reference_in_scene_is_broken"], length
        assert scene.references[0].embedded != picture
    text_end = len(whole) - 8 - len(picture) - (-len(picture) % 4)
    assert refused == [n for n in range(0, len(whole), 7) if n < text_end]
    path.write_bytes(whole)
    assert gltf.read(path, "s.glb").problems == ()


@pytest.mark.parametrize("length", [0xFFFFFFFF, 0x7FFFFFFF])
def test_glb_with_a_length_that_lies(length: int, tmp_path: Path):
    """A chunk that claims more than the file holds is refused without taking that memory."""
    path = tmp_path / "s.glb"
    path.write_bytes(b"glTF" + struct.pack("<IIII", 2, 28, length, 0x4E4F534A) + b"{}  ")
    with pytest.raises(InputError, match=r"s\.glb.*damaged"):
        gltf.read(path, "s.glb")


def test_version_1_glb(tmp_path: Path):
    """A binary glTF of version 1, whose chunks differ, is told as damaged, not misread."""
    path = tmp_path / "s.glb"
    text = json.dumps({"asset": {"version": "1.0"}}).encode()
    path.write_bytes(b"glTF" + struct.pack("<IIII", 1, 20 + len(text), len(text), 0) + text)
    with pytest.raises(InputError, match=r"s\.glb"):
        gltf.read(path, "s.glb")
