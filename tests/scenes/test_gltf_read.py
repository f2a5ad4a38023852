"""glTF scenes: every slot and factor, and every way a picture can be named or held."""

from __future__ import annotations

import base64
import hashlib
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from tests.colour.reference import rows
from tests.scenes import builders as b

from primecoat.inventory import take_inventory
from primecoat.scenes.formats import gltf
from primecoat.scenes.model import COLOUR_SLOTS, DATA_SLOTS

TABLE = [
    row
    for row in rows("texture-slots__gltf-2.0-and-khr.csv")
    if row["slot"].endswith("Texture") and row["standard"] != "KHR_materials_unlit"
]
"""One row for each slot and channel of glTF 2.0 and its KHR extensions. KHR_materials_unlit has
no texture of its own: it uses the core base colour."""

METALLIC_ROUGHNESS = ("baseColorTexture", "metallicRoughnessTexture")
FACTORS = {
    ("pbrMetallicRoughness", "baseColorFactor"): "base_color",
    ("emissiveFactor",): "emissive",
    ("extensions", "KHR_materials_sheen", "sheenColorFactor"): "sheen_color",
    ("extensions", "KHR_materials_specular", "specularColorFactor"): "specular_color",
    ("extensions", "KHR_materials_volume", "attenuationColor"): "transmission_color",
    (
        "extensions",
        "KHR_materials_diffuse_transmission",
        "diffuseTransmissionColorFactor",
    ): "transmission_color",
    ("extensions", "KHR_materials_pbrSpecularGlossiness", "diffuseFactor"): "base_color",
    ("extensions", "KHR_materials_pbrSpecularGlossiness", "specularFactor"): "specular_color",
}
"""Source: Khronos Group, glTF 2.0 Specification, 3.9, and the KHR_materials extensions: colour
factors, all linear."""


def nested(path: tuple[str, ...], value: Any) -> dict[str, Any]:
    for part in reversed(path):
        value = {part: value}
    return dict(value)


def path_of(row: dict[str, str]) -> tuple[str, ...]:
    if row["standard"] != "glTF core":
        return ("extensions", row["standard"].split()[0], row["slot"])
    core = ("pbrMetallicRoughness",) if row["slot"] in METALLIC_ROUGHNESS else ()
    return (*core, row["slot"])


def read(folder: Path, document: Any):
    return gltf.read(b.write_gltf(folder / "s.gltf", document), "s.gltf")


@pytest.mark.parametrize("row", TABLE, ids=[f"{r['slot']} {r['channels']}" for r in TABLE])
def test_every_slot_and_channel(row: dict[str, str], tmp_path: Path):
    """Each channel of each slot of the standard is read, as colour or data as the table says."""
    path = path_of(row)
    material = nested(path, {"index": 0}) | {"alphaMode": "MASK"}
    scene = read(tmp_path, b.gltf([{"uri": "a.png"}], [material]))
    wanted = set(row["channels"].lower())
    using = [u for u in scene.uses if wanted <= set(u.channels)]
    assert len(using) == 1, scene.uses
    use = using[0]
    assert use.location.place == "/materials/0/" + "/".join(path)
    assert use.standard == "glTF 2.0"
    if row["encoding"] == "srgb":
        assert (use.fixed, use.slot in COLOUR_SLOTS) == ("srgb_rec709_scene", True)
    else:
        assert (use.fixed, use.slot in DATA_SLOTS) == ("data", True)


def test_table_is_whole():
    """The table holds the 5 core slots and those of 9 extensions."""
    assert len({row["slot"] for row in TABLE if row["standard"] == "glTF core"}) == 5
    assert len({row["standard"] for row in TABLE if row["standard"].startswith("KHR")}) == 9


def test_no_slot_beyond_the_table(tmp_path: Path):
    """A material that fills every slot gives as many uses as the table has, and no more."""
    material: dict[str, Any] = {"alphaMode": "BLEND", "extensions": {}, "pbrMetallicRoughness": {}}
    for row in TABLE:
        at = material
        for part in path_of(row)[:-1]:
            at = at.setdefault(part, {})
        at[row["slot"]] = {"index": 0}
    scene = read(tmp_path, b.gltf([{"uri": "a.png"}], [material]))
    listed = {("/".join(path_of(r)), c) for r in TABLE for c in r["channels"].lower()}
    places = [(u.location.place.removeprefix("/materials/0/"), u) for u in scene.uses]
    found = {(place, channel) for place, use in places for channel in use.channels}
    cut_out = ("extensions/KHR_materials_pbrSpecularGlossiness/diffuseTexture", "a")
    assert found == listed | {cut_out}  # its alpha is in that extension's text, not in the table


@pytest.mark.parametrize("mode", ["OPAQUE", None, "MASK", "BLEND"])
def test_alpha_of_the_base_colour(mode: str | None, tmp_path: Path):
    """The alpha channel is used only where the material cuts out or blends."""
    material = dict(b.BASE_COLOUR) | ({"alphaMode": mode} if mode else {})
    scene = read(tmp_path, b.gltf([{"uri": "a.png"}], [material]))
    expected = [("base_color", "rgb")] + [("opacity", "a")] * (mode in ("MASK", "BLEND"))
    assert [(u.slot, u.channels) for u in scene.uses] == expected


@pytest.mark.parametrize(("path", "slot"), FACTORS.items(), ids=["/".join(p) for p in FACTORS])
def test_every_factor(path: tuple[str, ...], slot: str, tmp_path: Path):
    """Each colour factor is read as three linear Rec.709 numbers; a fourth is left out."""
    for value in ([0.25, 0.5, 1.5], [0.25, 0.5, 1.5, 0.1]):
        scene = read(tmp_path, b.gltf([], [{"name": "glaze"} | nested(path, value)]))
        (colour,) = scene.colours
        assert colour.value == (0.25, 0.5, 1.5)
        assert (colour.slot, colour.owner) == (slot, "glaze")
        assert colour.fixed == "lin_rec709_scene"
        assert colour.location.place == "/materials/0/" + "/".join(path)


def test_lights(tmp_path: Path):
    """Punctual lights are linear Rec.709; one without a colour is white (standard)."""
    lights = [{"name": "lamp", "color": [1, 0.5, 0.25]}, {"type": "point"}]
    scene = read(tmp_path, b.gltf([], extensions={"KHR_lights_punctual": {"lights": lights}}))
    assert [(x.owner, x.value, x.fixed) for x in scene.lights] == [
        ("lamp", (1.0, 0.5, 0.25), "lin_rec709_scene"),
        ("light 1", (1.0, 1.0, 1.0), "lin_rec709_scene"),
    ]
    assert scene.colours == ()


@pytest.mark.parametrize("extension", ["KHR_texture_basisu", "EXT_texture_webp"])
@pytest.mark.parametrize("fallback", [True, False])
def test_other_image_sources(extension: str, fallback: bool, tmp_path: Path):
    """A texture whose image stands in an extension is found, and so is the core image beside it."""
    texture = {"extensions": {extension: {"source": 1}}} | ({"source": 0} if fallback else {})
    scene = read(tmp_path, b.gltf([{"uri": "a.png"}, {"uri": "b.bin"}], textures=[texture]))
    named = [scene.references[use.reference].text for use in scene.uses]
    assert named == (["a.png", "b.bin"] if fallback else ["b.bin"])


def test_image_based_light(tmp_path: Path):
    """Cube faces are RGBD codes, so data; irradiance coefficients are linear Rec.709 light."""
    light = {
        "specularImages": [[0, 1, 0, 1, 0, 1], [1, 1, 1, 1, 1, 9]],
        "irradianceCoefficients": [[1.0, 0.5, 0.25], [-0.1, 0.0, 0.5]],
    }
    extensions = {"EXT_lights_image_based": {"lights": [light]}}
    images = [{"uri": "a.png"}, {"uri": "b.png"}]
    scene = read(tmp_path, b.gltf(images, materials=[], extensions=extensions))
    assert [(u.reference, u.slot, u.fixed) for u in scene.uses] == [
        (0, "environment", "data"),
        (1, "environment", "data"),
    ]
    assert [problem.code for problem in scene.problems] == ["PC405"]
    (value,) = scene.lights
    assert (value.count, value.value, value.maximum) == (2, (-0.1, 0.0, 0.25), (1.0, 0.5, 0.5))
    assert value.fixed == "lin_rec709_scene"


def test_data_uri(tmp_path: Path):
    """A picture in a data URI is taken out byte for byte, with its type."""
    picture = b.png()
    uri = "data:image/png;base64," + base64.b64encode(picture).decode()
    scene = read(tmp_path, b.gltf([{"uri": uri}]))
    assert scene.problems == ()
    reference = scene.references[0]
    assert (reference.embedded, reference.media_type) == (picture, "image/png")
    digest = hashlib.sha256(uri.encode()).hexdigest()
    assert reference.written == f"data:sha256,{digest}"


def test_glb_with_two_pictures(tmp_path: Path):
    """Pictures in the buffer of a .glb are taken out byte for byte, each at its own offset."""
    pictures = b.png(), b.png(4, "uint16")
    path = tmp_path / "s.glb"
    path.write_bytes(b.glb_with_images(*pictures))
    scene = gltf.read(path, "s.glb")
    assert scene.problems == ()
    assert tuple(r.embedded for r in scene.references) == pictures
    assert [r.location.place for r in scene.references] == [
        "/images/0/bufferView",
        "/images/1/bufferView",
    ]


@pytest.mark.parametrize("where", ["file", "data URI"])
def test_picture_in_another_buffer(where: str, tmp_path: Path):
    """A buffer view into a .bin file or a data URI gives the picture's bytes."""
    picture = b.png()
    (tmp_path / "my data.bin").write_bytes(b"...." + picture)
    encoded = base64.b64encode(b"...." + picture).decode()
    uri = "my%20data.bin" if where == "file" else f"data:;base64,{encoded}"
    document = b.gltf(
        [{"bufferView": 0, "mimeType": "image/png"}],
        buffers=[{"uri": uri, "byteLength": 4 + len(picture)}],
        bufferViews=[{"buffer": 0, "byteOffset": 4, "byteLength": len(picture)}],
    )
    scene = read(tmp_path, document)
    assert scene.problems == ()
    assert scene.references[0].embedded == picture


@pytest.mark.parametrize(
    "name",
    ["tea pot.png", "Töpferei.png", "茶碗 色.png", "50%.png", "a#b.png", "a&b=c;d.png", "é.png"],
)
@pytest.mark.parametrize("encoded", [True, False])
def test_names(name: str, encoded: bool, tmp_path: Path):
    """Names with blanks, signs and letters of any script are found, percent-encoded or not."""
    (tmp_path / name).write_bytes(b.png())
    b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": quote(name) if encoded else name}]))
    (image,) = take_inventory(tmp_path / "s.gltf").images
    assert (image.path, image.problems) == (name, ())
    assert image.header is not None
    assert gltf.reference_text(name) == quote(name, safe="/-_.~!$&'()*+,;=:@")


def test_utf8_bom(tmp_path: Path):
    """A byte-order mark before the JSON does no harm."""
    path = tmp_path / "s.gltf"
    document = b.write_gltf(path, b.gltf([{"uri": "a.png"}])).read_bytes()
    path.write_bytes(b"\xef\xbb\xbf" + document)
    assert gltf.read(path, "s.gltf").references[0].text == "a.png"


def test_owner_without_a_name(tmp_path: Path):
    """A material without a name is called by its number."""
    scene = read(tmp_path, b.gltf([{"uri": "a.png"}], [{}, b.BASE_COLOUR]))
    assert [u.owner for u in scene.uses] == ["material 1"]


def test_one_picture_in_two_materials(tmp_path: Path):
    """Two textures on one image are two uses of one reference."""
    document = b.gltf(
        [{"uri": "a.png"}],
        [b.BASE_COLOUR, {"occlusionTexture": {"index": 1}}],
        [{"source": 0}, {"source": 0}],
    )
    scene = read(tmp_path, document)
    assert [(u.reference, u.slot) for u in scene.uses] == [(0, "base_color"), (0, "occlusion")]
