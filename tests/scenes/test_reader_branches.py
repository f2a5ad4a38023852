"""What readers of scenes and documents meet seldom: files that cannot be opened, odd numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from tests.scenes import builders as b

from primecoat.documents import read_text
from primecoat.errors import InputError
from primecoat.scenes.formats import gltf, sheet


def test_a_file_that_cannot_be_opened(tmp_path: Path) -> None:
    """A folder under the name of a scene, and no file at all: one line."""
    for read, name in ((gltf.read, "tea.gltf"), (sheet.read, "tea.csv")):
        with pytest.raises(InputError, match=f"Cannot read .*{name}: No such file"):
            read(tmp_path / name, name)
        (tmp_path / name).mkdir()
        with pytest.raises(InputError, match=f"Cannot read .*{name}"):
            read(tmp_path / name, name)
    with pytest.raises(InputError, match=r"Cannot read .*tea\.csv: Is a directory"):
        read_text(tmp_path / "tea.csv")


def test_what_is_claimed(tmp_path: Path) -> None:
    """A glTF by its ending; a table by its columns, and one that cannot be opened, to say so."""
    assert gltf.claims(tmp_path / "tea.GLB")
    assert sheet.claims(tmp_path / "gone.csv")
    (tmp_path / "prices.csv").write_text("cup,price\n", encoding="utf-8")
    assert not sheet.claims(tmp_path / "prices.csv")


def test_words_of_the_formats(tmp_path: Path) -> None:
    """Neither names a working space; glTF declares nothing, a sheet by ID."""
    path = tmp_path / "tea"
    for module, declared in ((gltf, ""), (sheet, "data")):
        assert module.switch_edits(path, "tea", "lin_ap1_scene") == ()
        assert module.space_name("data") == declared
    assert gltf.colour_text("[1, 0, 0]", [(0, 0, 1)]) == "[1, 0, 0]"
    assert sheet.colour_text("", [(0.1, 0, 1)]) == "0.1 0 1"
    assert sheet.reference_text("a b.png") == "a b.png"
    (tmp_path / "tea.csv").write_text("path,slot\ncup.png,normal\n", encoding="utf-8")
    assert sheet.changed(tmp_path / "tea.csv", (), path) == b"path,slot\ncup.png,normal\n"


def test_a_light_without_pictures_and_a_buffer_used_twice(tmp_path: Path) -> None:
    (tmp_path / "tea.bin").write_bytes(b.png())
    rows = {"irradianceCoefficients": [[1, 1, 1], ["bright"]]}
    lights: Any = {"EXT_lights_image_based": {"lights": [{"specularImages": []}, rows]}}
    size = len(b.png())
    document = b.gltf(
        [{"bufferView": 0, "mimeType": "image/png"}, {"bufferView": 1, "mimeType": "image/png"}],
        extensions=lights,
        bufferViews=[{"buffer": 0, "byteLength": size}] * 2,
        buffers=[{"uri": "tea.bin", "byteLength": size}],
    )
    b.write_gltf(tmp_path / "tea.gltf", document)
    scene = gltf.read(tmp_path / "tea.gltf", "tea.gltf")
    assert [r.embedded for r in scene.references] == [b.png()] * 2
    assert [p.message for p in scene.problems if "names no images" in p.message]
    assert [p.message for p in scene.problems if "rows of three numbers" in p.message]


@pytest.mark.parametrize(
    ("accessor", "view"),
    [
        ({"byteOffset": "0"}, {}),
        ({"componentType": []}, {}),
        ({}, {"byteOffset": None}),
        ({}, {"byteStride": {}}),
        ({"bufferView": 7}, {}),
        ({"bufferView": -1}, {}),
    ],
)
def test_vertex_colours(
    accessor: dict[str, object], view: dict[str, object], tmp_path: Path
) -> None:
    """Colours of one mesh are read; of the other, whose numbers are none, it is told."""
    sound = {"bufferView": 0, "componentType": 5121, "type": "VEC3", "count": 1}
    place = {"buffer": 0, "byteLength": 3}
    meshes = [
        {"name": name, "primitives": [{"attributes": {"COLOR_0": number}}, {"attributes": {}}, 7]}
        for number, name in enumerate(("cup", "jug"))
    ]
    document = b.gltf(
        [],
        meshes=[*meshes, {"primitives": None}],
        accessors=[sound, {**sound, "bufferView": 1, **accessor}],
        bufferViews=[place, {**place, **view}],
        buffers=[{"uri": "data:;base64,/wAz", "byteLength": 3}],
    )
    b.write_gltf(tmp_path / "tea.gltf", document)
    scene = gltf.read(tmp_path / "tea.gltf", "tea.gltf")
    (found,) = scene.colours
    assert (found.owner, found.value) == ("cup", (1, 0, 0.2))
    told = [p.message for p in scene.problems if p.location and "/meshes/1" in p.location.place]
    assert len(told) == 1
    assert "vertex colours cannot be read" in told[0]
