"""Textures (tiled, with smaller levels) by the texture maker that comes with OpenImageIO."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image
from tests.images import written as w

from primecoat.images.read_header import read_header

MAKER = Path(sys.executable).with_name("maketx")


def make(source: Path, *options: str) -> Path:
    target = source.with_suffix(".tx")
    command = [str(MAKER), *options, source.name, "-o", target.name]
    subprocess.run(command, cwd=source.parent, check=True, capture_output=True)
    return target


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "glaze.png"
    Image.fromarray(w.pixels(size=64)).save(path)
    return path


@pytest.mark.parametrize(("container", "name"), [("tiff", "tiff"), ("openexr", "openexr")])
def test_record_of_a_texture(container: str, name: str, source: Path):
    header = read_header(make(source, "--format", container, "--history"))
    record = header.texture
    assert header.format == name
    assert "tiled" in header.storage
    assert record is not None
    assert (record.kind, record.source) == ("Plain Texture", "glaze.png")
    assert re.fullmatch(r"\d{4}(:\d\d){2} \d\d(:\d\d){2}", record.date)
    assert re.fullmatch(r"[0-9A-F]{40}", record.pixel_hash)


def test_hash_follows_the_pixels_and_the_source_may_be_unnamed(source: Path):
    first = read_header(make(source, "--no-history")).texture
    Image.fromarray(255 - w.pixels(size=64)).save(source)
    second = read_header(make(source, "--no-history")).texture
    assert first is not None
    assert second is not None
    assert first.source == second.source == ""
    assert first.pixel_hash != second.pixel_hash


def test_environment(source: Path):
    texture = read_header(make(source, "--format", "openexr", "--envlatl")).texture
    assert texture is not None
    assert texture.kind == "LatLong Environment"


def test_srgb_that_a_maker_stamps_is_a_hint(source: Path):
    """The source says nothing; the maker writes down what its reader takes a PNG for."""
    assert read_header(source).statements == ()
    (said,) = read_header(make(source)).statements
    assert (said.kind, said.reading, said.firm) == ("EXIF ColorSpace", "srgb_rec709_scene", False)


def test_a_plain_picture_has_no_record(tmp_path: Path):
    path = tmp_path / "plain.tif"
    Image.fromarray(w.pixels()).save(path)
    assert read_header(path).texture is None
