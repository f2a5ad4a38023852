"""What is kept and read anew, what is held in memory, and pictures that are no plain files."""

from __future__ import annotations

import base64
import io
import json
import os
import threading
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from primecoat import workflow
from primecoat.colour.ocio import DEFAULT_CONFIG, load_config, through_view
from primecoat.errors import UseError
from primecoat.images.header import ImageHeader, PartHeader
from primecoat.images.oiio import write_pixels
from primecoat.images.silence import silenced
from primecoat.inventory import ImageRecord
from primecoat.report.shown.decoded import decoded
from primecoat.report.shown.frame import framed
from primecoat.report.shown.kept import Kept
from primecoat.report.shown.light import averaging
from primecoat.report.shown.opened import open_picture
from primecoat.report.shown.planes import planes_of
from primecoat.workflow.shown import probed, shown


def flat(code: int, width: int = 8) -> Image.Image:
    """Return a picture of one code."""
    return Image.fromarray(np.full((4, width, 3), code, np.uint8))


def first(png: bytes) -> int:
    """Return the first code of a PNG."""
    return int(np.asarray(Image.open(io.BytesIO(png)))[0, 0, 0])


def test_a_file_that_changed_is_read_anew(tmp_path: Path) -> None:
    path = tmp_path / "cup.png"
    flat(10).save(path)
    assert first(shown(path, "data").png) == 10
    assert probed(path, 0, 0, "data").file == (10, 10, 10)
    flat(200, width=9).save(path)
    os.utime(path, ns=(1, 1))
    assert first(shown(path, "data").png) == 200
    assert probed(path, 8, 0, "data").file == (200, 200, 200)


def test_a_config_that_changed_is_read_anew(tmp_path: Path) -> None:
    path = tmp_path / "house.ocio"
    text = load_config(DEFAULT_CONFIG).serialize()
    path.write_text(text, encoding="utf-8")
    grey = np.full((1, 3), 0.18, np.float32)
    asked = "lin_ap1_scene", "sRGB - Display", "Un-tone-mapped", str(path)
    before = through_view(grey, *asked)
    first_description = load_config(str(path)).getDescription()
    description = f"description: |\n  {first_description.splitlines()[0]}"
    assert description in text
    path.write_text(text.replace(description, "description: |\n  house", 1), encoding="utf-8")
    os.utime(path, ns=(2, 2))
    assert load_config(str(path)).getDescription().startswith("house")
    assert np.array_equal(before, through_view(grey, *asked))
    path.unlink()
    with pytest.raises(Exception, match="Cannot load"):
        load_config(str(path))


def test_memory_is_that_of_a_few_bands(tmp_path: Path) -> None:
    path = tmp_path / "wall.tif"
    write_pixels(path, np.full((6000, 6000, 1), 77, np.uint8), attributes={"compression": "none"})
    opened = open_picture(path)
    frame = framed((6000, 6000), size=(500, 500))
    tracemalloc.start()
    try:
        made = decoded(opened.source, opened.planes, frame, averaging("data", DEFAULT_CONFIG))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert np.allclose(made.values, 77 / 255)
    # the picture is 34 MiB, as float32 numbers 137; a band of it is 4, or 16
    assert peak < 48 * 1024 * 1024
    assert made.high == pytest.approx(77 / 255)


def test_what_is_kept_is_bounded_and_made_once() -> None:
    kept, made = Kept(1000), []
    started = threading.Barrier(4)

    def make() -> bytes:
        made.append(1)
        return bytes(400)

    def ask() -> None:
        started.wait()
        kept.get("one", make, len)

    threads = [threading.Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(made) == 1
    for name in ("two", "three", "four"):
        kept.get(name, lambda: bytes(400), len)
    assert kept.held <= 1000
    assert "one" not in kept
    assert "four" in kept
    kept.get("large", lambda: bytes(2000), len)
    assert "large" not in kept


def test_silence_in_several_threads_gives_stderr_back() -> None:
    before = os.fstat(2)
    inside = threading.Barrier(2)
    out = threading.Event()

    def long() -> None:
        with silenced():
            inside.wait()
            out.wait()

    thread = threading.Thread(target=long)
    with silenced():
        thread.start()
        inside.wait()
    out.set()
    thread.join()
    after = os.fstat(2)
    assert (before.st_dev, before.st_ino) == (after.st_dev, after.st_ino)


def test_pictures_inside_scenes_and_sets_of_tiles(tmp_path: Path) -> None:
    data = io.BytesIO()
    flat(33).save(data, "PNG")
    inside = ImageRecord(
        path="tea.glb#images/0", name="", embedded=data.getvalue(), media_type="image/png"
    )
    assert first(shown(inside, "data").png) == 33
    assert probed(inside, 7, 3, "data").file == (33, 33, 33)
    tiles = tuple(tmp_path / f"tray.{number}.png" for number in (1001, 1002))
    for code, path in zip((40, 80), tiles, strict=True):
        flat(code).save(path)
    tray = ImageRecord(path="tray.<UDIM>.png", name="tray.<UDIM>.png", files=tiles)
    assert [first(shown(tray, "data", frame=frame).png) for frame in (0, 1)] == [40, 80]
    with pytest.raises(UseError, match="set of 2"):
        shown(tray, "data", frame=2)
    with pytest.raises(UseError, match="missing"):
        shown(ImageRecord(path="gone.png", name="gone.png"), "data")


def test_a_surveyed_scene_gives_its_pictures(tmp_path: Path) -> None:
    data = io.BytesIO()
    flat(90).save(data, "PNG")
    uri = f"data:image/png;base64,{base64.b64encode(data.getvalue()).decode()}"
    flat(60).save(tmp_path / "cup.png")
    colour = {"baseColorTexture": {"index": 0}, "metallicRoughnessTexture": {"index": 1}}
    scene = {
        "asset": {"version": "2.0"},
        "images": [{"uri": uri}, {"uri": "cup.png"}],
        "textures": [{"source": 0}, {"source": 1}],
        "materials": [{"name": "glaze", "pbrMetallicRoughness": colour}],
    }
    (tmp_path / "tea.gltf").write_text(json.dumps(scene), encoding="utf-8")
    readings = workflow.survey(tmp_path / "tea.gltf", workers=1).readings
    made = {
        image.reading: first(shown(image.record, image.reading, view="Un-tone-mapped").png)
        for image in readings.images
    }
    assert made == {"srgb_rec709_scene": 90, "data": 60}


def test_layers_and_two_channels_are_found() -> None:
    parts = (
        PartHeader(name="beauty", channels=("R", "G", "B", "A"), pixel_types=("half",) * 4),
        PartHeader(name="bend", channels=("N.X", "N.Y"), pixel_types=("half",) * 2),
    )
    header = ImageHeader(
        format="openexr",
        width=4,
        height=4,
        channels=("R", "G", "B", "A"),
        pixel_type="half",
        parts=2,
        part_headers=parts,
    )
    assert (planes_of(header).colour, planes_of(header).alpha) == ((0, 1, 2), 3)
    bend = planes_of(header, "N")
    assert (bend.part, bend.colour, bend.names) == (1, (0, 1), ("N.X", "N.Y"))
    assert planes_of(header, "bend") == bend
    with pytest.raises(UseError, match="beauty"):
        planes_of(header, "shadow")
