"""PC314 on textures of the texture maker that comes with OpenImageIO: record, hash, times."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.reading.worlds import readings_of, sheet

from primecoat import workflow
from primecoat.checks import run_checks
from primecoat.images.read_header import read_header
from primecoat.images.texture_source import made_from
from primecoat.plan.plan import Plan

MAKER = Path(sys.executable).with_name("maketx")
LONG_AGO = 1_500_000_000.0
MINUTES = 600.0


def paint(path: Path, seed: int, channels: int = 3) -> Path:
    pixels = np.random.default_rng(seed).integers(0, 256, (64, 64, channels), dtype=np.uint8)
    Image.fromarray(pixels.squeeze()).save(path)
    return path


def make(source: Path, *options: str, name: str = "a.tx") -> Path:
    command = [str(MAKER), *options, source.name, "-o", name]
    subprocess.run(command, cwd=source.parent, check=True, capture_output=True)
    return source.with_name(name)


def at(path: Path, time: float) -> None:
    os.utime(path, (time, time))


def messages(folder: Path) -> list[str]:
    target = sheet(folder, "a.tx,x,base_color,,,")
    return [f.message for f in run_checks(readings_of(target)) if f.code == "PC314"]


@pytest.mark.parametrize("container", ["tiff", "openexr"])
def test_changed_pixels(container: str, tmp_path: Path):
    source = paint(tmp_path / "a.png", 1)
    texture = make(source, "--format", container)
    at(texture, LONG_AGO)
    assert messages(tmp_path) == []  # the source has a new time and the old pixels
    paint(source, 2)
    (message,) = messages(tmp_path)
    assert "by the times of the files" in message
    assert "whose hash was kept" in message


@pytest.mark.parametrize("options", [[], ["--filter", "lanczos3"], ["--filter", "gaussian"]])
@pytest.mark.parametrize("channels", [1, 3, 4])
def test_the_hash_is_that_of_the_maker(options: list[str], channels: int, tmp_path: Path):
    source = paint(tmp_path / "a.png", 3, channels)
    record = read_header(make(source, *options)).texture
    assert record is not None
    assert made_from(record, source) is True
    assert made_from(record, paint(tmp_path / "b.png", 4, channels)) is False


def test_source_of_another_name(tmp_path: Path):
    """The record names it; the picture of the texture's own name is not asked."""
    source = paint(tmp_path / "master.png", 5)
    texture = make(source, "--history")
    paint(tmp_path / "a.png", 6)
    at(texture, LONG_AGO)
    assert messages(tmp_path) == []
    paint(source, 7)
    (message,) = messages(tmp_path)
    assert message.startswith("master.png was saved after a.tx")


def test_date_of_the_record_with_the_hash(tmp_path: Path):
    """The texture was touched since, so that file times say nothing: date and hash do."""
    source = paint(tmp_path / "a.png", 8)
    texture = make(source)
    paint(source, 9)
    made = texture.stat().st_mtime
    at(source, made + MINUTES)
    at(texture, made + 2 * MINUTES)
    (message,) = messages(tmp_path)
    assert "the date in the record" in message
    at(source, made + 2 * MINUTES)  # copied together: no time says anything
    assert messages(tmp_path) == []


def test_times_where_there_is_no_hash(tmp_path: Path):
    source = paint(tmp_path / "a.png", 10)
    Image.open(source).save(tmp_path / "plain.tif")
    (tmp_path / "plain.tif").rename(tmp_path / "a.tx")
    at(tmp_path / "a.tx", LONG_AGO)
    (message,) = messages(tmp_path)
    assert "by the times of the files" in message
    assert "hash" not in message


@pytest.mark.parametrize(("slot", "space"), [("base_color", "srgb_rec709_scene"), ("mask", "data")])
def test_no_new_pixels_are_made_of_it(slot: str, space: str, tmp_path: Path):
    """A bake, and new levels of data, are held with the source named; made again, both go on."""
    source = paint(tmp_path / "a.png", 1)
    at(make(source), LONG_AGO)
    paint(source, 2)
    target = sheet(tmp_path, f"a.tx,x,{slot},rgb,{space},")

    def planned() -> Plan:
        found = workflow.survey(target, verify=True, workers=1)
        return workflow.plan(found, "bake", data_levels=["a.tx"] if space == "data" else [])

    made = planned()
    assert made.operations == ()
    [held] = made.held
    assert held.where == "a.tx"
    assert "a.png was saved after a.tx" in held.why
    assert "Make it again from a.png" in held.remedy
    make(source)
    assert planned().held == ()
    assert len(planned().operations) == 2
