"""Pictures that stand inside a scene file."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.checks import run_checks
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.files import sha256_of_bytes
from primecoat.inventory import take_inventory
from primecoat.inventory.measure_embedded import embedded_suffix
from primecoat.reading.readings import read_all


def test_pictures_in_a_glb(tmp_path: Path):
    """Each is an image of its own, called by its place, measured like a file."""
    pictures = b.png(), b.png_of(b.normal_pixels())
    materials = [b.BASE_COLOUR | {"normalTexture": {"index": 1}}]
    path = tmp_path / "tea.glb"
    path.write_bytes(b.glb_with_images(*pictures, materials=materials))
    images = take_inventory(path).images
    assert [i.path for i in images] == ["tea.glb#images/0", "tea.glb#images/1"]
    assert [i.measures[0].sha256 for i in images] == [sha256_of_bytes(p) for p in pictures]
    assert [(i.name, i.files, i.embedded) for i in images] == [("", (), p) for p in pictures]
    assert [i.header.width for i in images if i.header] == [16, 64]


def test_survey_of_a_glb_has_no_finding(tmp_path: Path):
    """A sound .glb goes through all readings and checks without a finding."""
    path = tmp_path / "tea.glb"
    path.write_bytes(b.glb_with_images(b.png()))
    readings = read_all(
        take_inventory(path), from_space=None, to_space="lin_ap1_scene", config=DEFAULT_CONFIG
    )
    assert [(i.reading, i.standing) for i in readings.images] == [("srgb_rec709_scene", "settled")]
    assert run_checks(readings) == ()


def test_one_picture_in_two_slots(tmp_path: Path):
    """One picture inside the scene with two uses is one image."""
    path = tmp_path / "tea.glb"
    materials = [b.BASE_COLOUR | {"emissiveTexture": {"index": 0}}]
    path.write_bytes(b.glb_with_images(b.png(), materials=materials))
    (image,) = take_inventory(path).images
    assert [u.use.slot for u in image.uses] == ["base_color", "emissive"]


def test_data_uri_of_another_type(tmp_path: Path):
    """A data URI that lies about its type is still the picture it is."""
    uri = "data:image/jpeg;base64," + base64.b64encode(b.png()).decode()
    b.write_gltf(tmp_path / "s.gltf", b.gltf([{"uri": uri}]))
    (image,) = take_inventory(tmp_path / "s.gltf").images
    assert image.header is not None
    assert image.header.format == "png"


def test_no_picture_inside(tmp_path: Path):
    """Bytes that are no picture are a problem of that image."""
    path = tmp_path / "tea.glb"
    path.write_bytes(b.glb_with_images(b"not a picture at all"))
    (image,) = take_inventory(path).images
    assert image.header is None
    assert "Cannot read" in image.measures[0].problem


@pytest.mark.parametrize(
    ("data", "media_type", "suffix"),
    [
        (b.png(), "", ".png"),
        (b.png(), "image/jpeg", ".png"),
        (b"\xff\xd8\xff", "", ".jpg"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "", ".webp"),
        (b"\xabKTX 20", "image/ktx2", ".ktx2"),
        (b"", "", ".bin"),
    ],
)
def test_ending_by_content(data: bytes, media_type: str, suffix: str):
    """The first bytes say what a picture is, before the type that the scene states."""
    assert embedded_suffix(data, media_type) == suffix
