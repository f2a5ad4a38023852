"""TIFF files of several pages: smaller levels are made anew, other pages become parts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest
import tifffile
from tests.bake.files import bake, headers_of, planes_of
from tests.bake.test_mips import levels_of

from primecoat.bake.rebuild import rebuild_levels

CODES = np.random.default_rng(11).integers(0, 65536, (40, 48, 3), np.uint16)
STALE = np.zeros((20, 24, 3), np.uint16)


def pages(path: Path, how: str) -> Path:
    """Write a picture and a smaller level that does not match it."""
    with tifffile.TiffWriter(path) as file:
        if how == "below":
            file.write(CODES, photometric="rgb", subifds=1)
            file.write(STALE, photometric="rgb", subfiletype=1)
        else:
            file.write(CODES, photometric="rgb")
            file.write(STALE, photometric="rgb", subfiletype=1 if how == "said" else 0)
    return path


@pytest.mark.parametrize("how", ["said", "halves", "below"])
def test_levels_that_are_pages_are_made_anew(tmp_path: Path, how: str):
    """Adobe TIFF Technical Note 1 and NewSubfileType: a level is no further part of the picture."""
    made, _ = bake(pages(tmp_path / "bowl.tif", how), "out.exr")
    assert len(headers_of(made)) == 1
    assert headers_of(made)[0]["tiles"].mode == OpenEXR.MIPMAP_LEVELS
    levels = levels_of(made)
    assert len(levels) == 6
    assert levels[-1].min() > 0.2


@pytest.mark.parametrize("how", ["said", "halves", "below"])
def test_levels_of_data_that_are_pages_are_made_anew(tmp_path: Path, how: str):
    made = tmp_path / "out.tif"
    rebuild_levels(pages(tmp_path / "bowl.tif", how), made, "data")
    levels = levels_of(made)
    assert np.array_equal(levels[0], CODES)
    assert levels[-1].ravel() == pytest.approx(CODES.mean(axis=(0, 1)), abs=1)


def test_pages_of_other_sizes_become_parts_of_one_frame(tmp_path: Path):
    """OpenEXR: all parts of a file share one display window."""
    with tifffile.TiffWriter(tmp_path / "bowl.tif") as file:
        file.write(CODES, photometric="rgb")
        file.write(STALE[:7, :9] + 7, photometric="rgb")
    made, _ = bake(tmp_path / "bowl.tif", "out.exr")
    assert [tuple(h["displayWindow"][1]) for h in headers_of(made)] == [(47, 39)] * 2
    assert planes_of(made, 1)["R"] == pytest.approx(np.full((7, 9), 7 / 65535), rel=2**-10)
