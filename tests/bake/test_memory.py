"""Memory is bounded by the band, not by the picture.

The peak is Linux's VmHWM: ru_maxrss of a child counts the parent that it was forked from.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import pytest
import tifffile

WIDTH, HEIGHT = 2048, 16384
WHOLE = WIDTH * HEIGHT * 3 * 2
"""Bytes of the whole picture, RGB of 16 bits: 192 MiB; as float32 twice that."""

ALLOWED = 160 << 20
"""Bytes: bands of 16 MiB as float32, several of them on their way, and the library's own."""

SCRIPT = """
import json, sys
from pathlib import Path
from primecoat.bake.picture import bake_picture
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.plan.recipe import Storage

source, tiny, target, number, levels = sys.argv[1:]
packed = "none" if target.endswith(".tif") else ""  # packing takes time, not memory
def bake(path):
    bake_picture(
        Path(path), Path(target), reading="srgb_rec709_scene", to_space="lin_ap1_scene",
        config=DEFAULT_CONFIG, source_sha256="",
        storage=Storage(
            ending=Path(target).suffix, number=number, levels=levels, compression=packed
        ),
    )
def peak():
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return int(line.split()[1]) * 1024
bake(tiny)
before = peak()
bake(source)
print(json.dumps([before, peak()]))
"""


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return a tall picture as PNG, TIFF in one single strip and TIFF in tiles, and a tiny one."""
    folder = tmp_path_factory.mktemp("tall")
    rows = np.arange(HEIGHT, dtype=np.uint16)[:, None, None] * np.uint16(3)
    pixels = np.broadcast_to(rows, (HEIGHT, WIDTH, 3)) ^ np.arange(WIDTH, dtype=np.uint16)[:, None]
    made = {name: folder / name for name in ("tall.png", "strip.tif", "tiles.tif", "tiny.png")}
    made["tall.png"].write_bytes(imagecodecs.png_encode(np.ascontiguousarray(pixels), level=1))
    options: dict[str, Any] = {"photometric": "rgb", "compression": "deflate"}
    tifffile.imwrite(made["strip.tif"], pixels, rowsperstrip=HEIGHT, **options)
    tifffile.imwrite(made["tiles.tif"], pixels, tile=(256, 256), **options)
    made["tiny.png"].write_bytes(imagecodecs.png_encode(np.zeros((8, 8, 3), np.uint16)))
    return made


@pytest.mark.skipif(sys.platform != "linux", reason="the peak memory is asked of Linux only")
@pytest.mark.parametrize(
    ("name", "target", "number", "levels"),
    [
        ("tall.png", "out.exr", "half", "yes"),
        ("tiles.tif", "out.exr", "half", "no"),
        ("strip.tif", "out.png", "16-bit", "no"),
        ("tall.png", "out.tif", "16-bit", "yes"),
    ],
)
def test_a_tall_picture_needs_no_tall_memory(
    tmp_path: Path, pictures: dict[str, Path], name: str, target: str, number: str, levels: str
):
    """The peak over that of a tiny picture stays below what the whole one takes in memory."""
    run = subprocess.run(
        [
            sys.executable, "-c", SCRIPT, str(pictures[name]), str(pictures["tiny.png"]),
            str(tmp_path / target), number, levels,
        ],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    before, after = json.loads(run.stdout)
    print(f"{name} to {target}, levels {levels}: {(after - before) >> 20} MiB over {before >> 20}")
    assert after - before <= ALLOWED < WHOLE
