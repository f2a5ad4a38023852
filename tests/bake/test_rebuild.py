"""Levels of data pictures: means of the numbers as they are, normals 1 long, level 0 untouched."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import tifffile
from tests.bake.files import headers_of, tags_of, values, write
from tests.bake.test_mips import area_mean, levels_of

from primecoat.bake.rebuild import rebuild_levels
from primecoat.errors import ImageError, RefusedError


def normals(height: int, width: int) -> np.ndarray:
    """Return random unit vectors of the upper half sphere; shape (height, width, 3)."""
    made = np.random.default_rng(1).normal(size=(height, width, 3))
    made[..., 2] = np.abs(made[..., 2]) + 0.3
    return np.asarray(made / np.linalg.norm(made, axis=-1, keepdims=True))


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_packed_normals(tmp_path: Path, dtype: type):
    """Whole-number normals: each level is the direction of the mean vector, within rounding."""
    most = np.iinfo(dtype).max
    codes: np.ndarray = np.rint((normals(48, 80) + 1) / 2 * most).astype(dtype)
    source = write(tmp_path / "n.png", codes)
    rebuild_levels(source, tmp_path / "n.tif", "normal")
    levels = levels_of(tmp_path / "n.tif")
    assert len(levels) == 7
    assert {level.dtype for level in levels} == {np.dtype(dtype)}
    assert np.array_equal(levels[0], codes)
    mean = values(codes) * 2 - 1
    for level in levels[1:]:
        mean = area_mean(mean, level.shape[1], level.shape[0])
        unit = mean / np.linalg.norm(mean, axis=-1, keepdims=True)
        assert np.abs(values(level) * 2 - 1 - unit).max() <= 1 / most + 1e-5


def test_signed_normals_and_a_flat_statement(tmp_path: Path):
    """Float normals keep their sign; what the file says of colour (data) stays."""
    vectors = normals(32, 32).astype(np.float16)
    source = write(tmp_path / "n.exr", vectors)
    rebuild_levels(source, tmp_path / "out.exr", "signed normal")
    levels = levels_of(tmp_path / "out.exr")
    assert np.array_equal(levels[0], vectors)
    top = levels[-1][0, 0].astype(float)
    mean = vectors.astype(float).mean(axis=(0, 1))
    assert top == pytest.approx(mean / np.linalg.norm(mean), abs=1e-3)
    assert "colorInteropID" not in headers_of(tmp_path / "out.exr")[0]


@pytest.mark.parametrize("channels", [1, 3, 4])
def test_plain_data_is_averaged_as_it_is(tmp_path: Path, channels: int):
    """Roughness 0 and 255 in a checker have the mean 0.5 of codes, not of any light."""
    one = (np.indices((16, 16)).sum(axis=0) % 2 * 255).astype(np.uint8)
    codes = np.repeat(one[..., None], channels, axis=-1)
    rebuild_levels(write(tmp_path / "r.png", codes), tmp_path / "r.tif", "data")
    levels = levels_of(tmp_path / "r.tif")
    assert np.array_equal(levels[0], codes)
    assert {int(v) for level in levels[1:] for v in level.ravel()} == {128}


def test_what_has_no_mean_is_refused(tmp_path: Path):
    """No normals by name, no levels in PNG, no whole numbers in OpenEXR."""
    codes = np.full((8, 8, 1), 7, np.uint8)
    source = write(tmp_path / "r.png", codes)
    with pytest.raises(ImageError, match="no normals"):
        rebuild_levels(source, tmp_path / "out.tif", "normal")
    for name in ("out.png", "out.exr"):
        with pytest.raises(RefusedError):
            rebuild_levels(source, tmp_path / name, "data")
    assert [path.name for path in tmp_path.iterdir()] == ["r.png"]


def test_whether_colour_is_multiplied_by_alpha_stays_said(tmp_path: Path):
    """TIFF 6.0, ExtraSamples: 1 is associated, 2 unassociated alpha."""
    for said, code in (("assocalpha", 1), ("unassalpha", 2)):
        source = tmp_path / f"{said}.tif"
        tifffile.imwrite(
            source, np.full((8, 8, 4), 9, np.uint8), photometric="rgb", extrasamples=[said]
        )
        rebuild_levels(source, tmp_path / "out.tif", "data")
        assert tags_of(tmp_path / "out.tif")[338] in (code, (code,))
