"""Whether opposite edges join: noise made by a Fourier series is periodic, a part of it is not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.images.generated import smooth_noise

from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure


def seam_of(folder: Path, values: np.ndarray) -> float | None:
    path = folder / "a.png"
    Image.fromarray(np.rint(np.clip(128 + 40 * values, 0, 255)).astype(np.uint8)).save(path)
    return measure(path, read_header(path)).seam


@pytest.mark.parametrize("side", [64, 200, 1024])
@pytest.mark.parametrize("seed", range(3))
def test_periodic_noise_joins_and_a_part_of_it_does_not(seed: int, side: int, tmp_path: Path):
    whole = smooth_noise(np.random.default_rng(seed), 2 * side, 2.0)
    tile = seam_of(tmp_path, whole)
    part = seam_of(tmp_path, whole[: side + side // 3, : side + side // 2])
    assert tile is not None
    assert part is not None
    assert tile < 0.1 < 0.2 < part


def test_only_one_direction_joins(tmp_path: Path):
    """A horizon goes all round; sky and ground do not meet."""
    row, column = np.mgrid[0:128, 0:128] / 128
    found = seam_of(tmp_path, np.sin(2 * np.pi * column) + 3 * (row - 0.5))
    assert found is not None
    assert found > 0.9


def test_nothing_to_tell(tmp_path: Path):
    """White noise has no neighbours, and a flat picture no edges."""
    assert seam_of(tmp_path, np.random.default_rng(1).normal(size=(128, 128))) is None
    assert seam_of(tmp_path, np.zeros((128, 128))) is None
