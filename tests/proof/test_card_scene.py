"""The card as it is written: what each scene holds, and that every patch has one light only."""

from __future__ import annotations

import csv
import json

import MaterialX as mx
import numpy as np
import pytest
from tests.colour.reference import matrices
from tests.proof.card_renderer import SOURCE, Program, factors, shade
from tests.proof.loaded_card import load_card

from primecoat.errors import UseError
from primecoat.images.oiio import read_pixels
from primecoat.images.read_header import read_header
from primecoat.proof.card import write_card
from primecoat.proof.card.inputs import INPUTS
from primecoat.proof.card.layout import LIGHTS, PATCHES, fields
from primecoat.report.survey_document import survey_document
from primecoat.workflow import survey

SCENES = ("card.usda", "card.gltf", "card.mtlx", "card.csv")


@pytest.fixture(scope="module")
def card(card_folder):
    return load_card(card_folder)


def test_nothing_is_written_over_anything(card_folder, tmp_path):
    before = {p: p.read_bytes() for p in card_folder.rglob("*") if p.is_file()}
    with pytest.raises(UseError, match="not an empty folder"):
        write_card(card_folder)
    assert {p: p.read_bytes() for p in card_folder.rglob("*") if p.is_file()} == before
    file = tmp_path / "file"
    file.write_text("mine")
    with pytest.raises(UseError):
        write_card(file)
    assert file.read_text() == "mine"


def test_the_card_is_the_same_every_time(card_folder, tmp_path):
    again = write_card(tmp_path / "again")
    for path in again.files:
        name = path.relative_to(again.folder)
        assert path.read_bytes() == (card_folder / name).read_bytes(), name


def test_each_light_reaches_its_own_patches_and_no_others(card):
    """Cosines by hand from the corners in the layer; nothing faces the environment's spot."""
    own = {f"patch_{patch.name}": patch.group for patch in PATCHES}
    for square in card.squares:
        if not square.name.startswith("patch_"):
            continue
        c = square.corners
        normal = np.cross(c[1] - c[0], c[3] - c[0])
        normal /= np.linalg.norm(normal)
        for name in LIGHTS:
            way, _, _ = card.lights[f"{name}_light"]
            reached = normal @ way / np.linalg.norm(way) > 1e-6
            if own[square.name] == name:
                assert reached, (square.name, name)
            elif own[square.name] != "own":  # black but for its own emission
                assert not reached or name == "main" == own[square.name], (square.name, name)
        spot = np.radians(28.0)  # the whole cone behind the card is behind every surface
        assert np.arccos(-normal[2]) - spot >= np.radians(90) - 1e-6, square.name


def test_no_patch_shades_another(card):
    """From every place that is looked at, the way to its light is free."""
    by_name = {square.name: square for square in card.squares}
    for patch in PATCHES:
        if patch.group not in LIGHTS:
            continue
        square = by_name[f"patch_{patch.name}"]
        way, _, _ = card.lights[f"{patch.group}_light"]
        for x, y, half in fields(patch):
            for dx in (-half, 0.0, half):
                for dy in (-half, 0.0, half):
                    start = _met(card, square, x + dx, y + dy)
                    blocked = [
                        s.name for s in card.squares if s is not square and _hit(s, start, way)
                    ]
                    assert not blocked, (patch.name, blocked)


def test_light_from_patch_to_patch_is_little(card):
    """One bounce, white on white, nothing in the way: less than one per cent of white."""
    light = shade(card, Program(name="right", working="rec709"))[: 4 * len(card.squares)]
    shown = [n for n, square in enumerate(card.squares) if square.name.startswith("patch_")]
    received = (factors(card) @ light).reshape(-1, 4, 3)[shown]
    assert 0 < received.max() < 0.01 * 2  # the main light makes white 2


def _met(card, square, x, y):
    """Return where the ray through a point of the card's plane meets a square."""
    ray = np.array([x, y, 0.0]) - card.eye
    c = square.corners
    normal = np.cross(c[1] - c[0], c[3] - c[0])
    met = card.eye + ray * ((c[0] - card.eye) @ normal / (ray @ normal))
    for corner in (1, 3):
        side = c[corner] - c[0]
        assert 0 < (met - c[0]) @ side / (side @ side) < 1, square.name
    return met


def _hit(square, start, way) -> bool:
    c = square.corners
    u, v = c[1] - c[0], c[3] - c[0]
    normal = np.cross(u, v)
    facing = way @ normal
    if abs(facing) < 1e-12:
        return False
    far = (c[0] - start) @ normal / facing
    at = start + far * way - c[0]
    return bool(far > 1e-6 and 0 <= at @ u / (u @ u) <= 1 and 0 <= at @ v / (v @ v) <= 1)


def test_gltf_has_the_same_squares_camera_and_lights(card, card_folder):
    """By the byte layout of glTF 2.0: float32 positions, quaternions x, y, z, w."""
    document = json.loads((card_folder / "card.gltf").read_text("utf-8"))
    data = (card_folder / "card.bin").read_bytes()
    nodes = {node["name"]: node for node in document["nodes"]}
    left_out = {"patch_float_color"}
    for square in card.squares:
        if square.name in left_out:
            continue
        mesh = document["meshes"][nodes[square.name]["mesh"]]["primitives"][0]
        accessor = document["accessors"][mesh["attributes"]["POSITION"]]
        view = document["bufferViews"][accessor["bufferView"]]
        points = np.frombuffer(data, "<f4", 12, view["byteOffset"]).reshape(4, 3)
        np.testing.assert_allclose(points, square.corners, atol=1e-6)
    for name, (way, _, _) in card.lights.items():
        node = nodes.get(name.replace("_", " "))
        if node is None:
            assert name == "warm_light"
            continue
        x, y, z, w = node["rotation"]
        turned = np.array([2 * (x * z + w * y), 2 * (y * z - w * x), 1 - 2 * (x * x + y * y)])
        light = document["extensions"]["KHR_lights_punctual"]["lights"]
        strength = light[node["extensions"]["KHR_lights_punctual"]["light"]]["intensity"]
        np.testing.assert_allclose(turned * strength / np.pi, way, atol=1e-6)
    [camera] = document["cameras"]
    assert np.tan(camera["perspective"]["yfov"] / 2) == pytest.approx(card.half_height)
    ratio = card.half_width / card.half_height
    assert camera["perspective"]["aspectRatio"] == pytest.approx(ratio)


@pytest.mark.parametrize("space", ["rec709", "ap1"])
def test_the_record_tells_the_true_values(card, card_folder, space):
    """Against the renderer of the tests, which has its own curves and published matrices."""
    record = json.loads((card_folder / "card.json").read_text("utf-8"))
    light = shade(card, Program(name="right", working=space))
    names = [square.name for square in card.squares]
    strengths = record["strengths"] | {"own": 1.0}
    for patch in record["patches"]:
        if patch["light"] == "sky":
            first = 4 * len(names) + int(patch["name"][-1])
            seen = light[first : first + 1]
        else:
            first = 4 * names.index(f"patch_{patch['name']}")
            seen = light[first : first + len(patch["fields"])]
        for field, value in zip(patch["fields"], seen, strict=True):
            told = np.array(field["values"][f"lin_{space}_scene"]) * strengths[patch["light"]]
            np.testing.assert_allclose(told, value, rtol=6e-4, atol=2e-5, err_msg=patch["name"])


def test_a_product_in_two_spaces_is_two_colours(card_folder):
    """What tells the working space: the record's blue lamp on red, by hand from Rec. 01."""
    record = json.loads((card_folder / "card.json").read_text("utf-8"))
    [patch] = [p for p in record["patches"] if p["name"] == "lamp_1"]
    told = {name: np.array(v) for name, v in patch["fields"][0]["values"].items()}
    to_ap1 = matrices(SOURCE)["rec709_to_ap1_bradford"]
    lamp, red = np.array([0.05, 0.15, 1.0]), np.array([0.8, 0.03, 0.02])
    ratio = (to_ap1 @ lamp) * (to_ap1 @ red) / (lamp * red)
    found = told["lin_ap1_scene"] / told["lin_rec709_scene"]
    np.testing.assert_allclose(found, ratio, rtol=1e-3)
    off = np.abs(to_ap1 @ told["lin_rec709_scene"] / told["lin_ap1_scene"] - 1).max()
    assert off > 0.2  # no matrix makes one of the other


def test_pictures_say_what_they_are_to_say_and_no_more(card_folder):
    says = {
        "profile_srgb_color": "srgb_rec709_scene",
        "profile_p3_color": "srgb_p3d65_scene",
    }
    for given in INPUTS.values():
        if not given.path:
            continue
        header = read_header(card_folder / given.path)
        readings = [s.reading for s in header.statements if s.firm]
        assert readings == ([says[given.key]] if given.key in says else []), given.key
    assert read_pixels(card_folder / INPUTS["sixteen_bit_color"].path).dtype == np.uint16
    assert read_pixels(card_folder / INPUTS["environment"].path).max() > 1


def test_the_known_grey_is_in_the_data_picture(card_folder):
    """8-bit 128: 0.502 as data, 0.216 undone as sRGB (IEC 61966-2-1)."""
    first = int(read_pixels(card_folder / INPUTS["grey_data"].path)[0, 0, 0])
    assert round(first / 255, 3) == 0.502
    assert round(((first / 255 + 0.055) / 1.055) ** 2.4, 3) == 0.216


@pytest.mark.parametrize("name", SCENES)
def test_every_scene_is_read_by_our_own_readers(card_folder, name):
    """Colours, lights and pictures are there, and what is declared is what it was made as."""
    found = survey(card_folder / name)
    paths = {image["path"] for image in survey_document(found)["images"]}
    left_out = {"card.gltf": {"float_color", "environment"}, "card.mtlx": {"environment"}}
    wanted = {
        given.path
        for given in INPUTS.values()
        if given.path and given.key not in left_out.get(name, set())
    }
    assert wanted <= paths


def test_materialx_is_valid(card_folder):
    document = mx.createDocument()
    mx.readFromXmlFile(document, str(card_folder / "card.mtlx"))
    library = mx.createDocument()
    mx.loadLibraries(mx.getDefaultDataLibraryFolders(), mx.getDefaultDataSearchPath(), library)
    document.setDataLibrary(library)
    valid, words = document.validate()
    assert valid, words


def test_the_sheet_declares_only_what_is_declared(card_folder):
    with (card_folder / "card.csv").open(encoding="utf-8") as lines:
        said = {row["owner"]: row["space"] for row in csv.DictReader(lines) if row["path"]}
    assert said["declared_color"] == "srgb_rec709_scene"
    assert {said[key] for key in ("untagged_color", "token_color", "float_color")} == {""}
