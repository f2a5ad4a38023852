"""The direction of green in real normal maps, against witnesses other than their curl."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.images.generated_islands import flipped
from tests.open_data.pictures import HELD_OUT, LABELS, labelled_pictures, package_folder

from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure

pytestmark = pytest.mark.open_data

GENERIC = "dist/profiles/generic-trigger-squeeze/left/0/generic_trigger_squeeze_Normal.jpg"
TAPE = "src/duckietown_world/data/gd1/textures/tiles/smooth/tape-normal.jpg"


def direction(path: Path) -> str:
    green = measure(path, read_header(path)).green
    return "undecided" if green is None else green.green


def vectors(path: Path) -> NDArray[np.float64]:
    return np.asarray(Image.open(path).convert("RGB")) / 127.5 - 1.0


def real_maps() -> Iterator[Path]:
    for labels in (LABELS, HELD_OUT):
        for path, label in labelled_pictures(labels):
            if label.slot == "normal":
                yield path


def test_flipping_green_turns_every_answer(tmp_path: Path) -> None:
    """Four fifths are told; the flipped copy is told the other way, or, at a limit, not."""
    told, turned, count = 0, 0, 0
    for source in real_maps():
        count += 1
        first = direction(source)
        if first == "undecided":
            continue
        told += 1
        copy = tmp_path / "map.png"
        copy.write_bytes(flipped(source.read_bytes()))
        second = direction(copy)
        assert second != first, source
        turned += second != "undecided"
    assert told >= 0.75 * count
    assert turned >= 0.95 * told


def test_occlusion_of_a_photographed_tape() -> None:
    """Occlusion is dark in pits: slopes that lead up to light agree in x, and in y if up."""
    path = package_folder("duckietown-world-daffy") / TAPE
    shown = Image.open(path.with_name("tape-occlusion.jpg")).convert("L")
    normal = vectors(path)
    light = np.asarray(shown.resize(normal.shape[1::-1]), dtype=np.float64)
    down, right = np.gradient(light)
    along = np.corrcoef(normal[..., 0].ravel(), -right.ravel())[0, 1]
    upward = np.corrcoef(normal[..., 1].ravel(), down.ravel())[0, 1]
    assert along > 0.15
    assert upward > 0.15
    assert direction(path) == "up"


def test_ridges_of_a_pattern_of_pyramids(tmp_path: Path) -> None:
    """Gradients of two flat faces differ at right angles to the ridge between them.

    Each face is one of four, by the signs of red and green. Between the faces of unlike red and
    like-signed change of green the ridge runs one way of two, which is counted here from the
    labels of the faces alone, with no derivative of the vectors.
    """
    path = package_folder("@webxr-input-profiles/assets") / GENERIC
    part = vectors(path)[90:250, 290:560]
    faces = np.where(np.abs(part[..., :2]).min(axis=2) > 0.1, 1, 0)
    red, green = np.sign(part[..., 0]) * faces, np.sign(part[..., 1]) * faces
    rising, falling = 0, 0  # ridges "/" and "\\" between (+, +) and (-, -)
    both_up, both_down = (red > 0) & (green > 0), (red < 0) & (green < 0)
    for step in range(1, 4):  # across a rising ridge one goes right and down
        rising += _meetings(both_up, both_down, step, step)
        falling += _meetings(both_up, both_down, step, -step)
    # with green up, (1, 1) points right and up, and the ridge at right angles to it falls; with
    # green down it points right and down, and the ridge rises
    assert rising > 2 * falling
    assert direction(path) in ("down", "undecided")
    window = tmp_path / "part.png"
    Image.open(path).crop((290, 90, 560, 250)).save(window)
    assert direction(window) == "down"


def _meetings(one: NDArray[np.bool_], other: NDArray[np.bool_], rows: int, columns: int) -> int:
    """Count pixels of one kind with the other kind so far away, on either side."""
    near = np.roll(other, (rows, columns), (0, 1)) | np.roll(other, (-rows, -columns), (0, 1))
    return int(np.count_nonzero(one & near))
