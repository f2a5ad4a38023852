"""Files that were not written to their end, and channels that are not what was written."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import numpy as np
import pytest

from primecoat.errors import ImageError
from primecoat.images.exr_whole_numbers import mark_whole_numbers
from primecoat.images.oiio_stream import _expect_levels, read_parts, read_rows, write_parts
from primecoat.images.part import Part


def written(path: Path) -> Part:
    """Write a tiled OpenEXR file with levels, and return its part."""
    part = Part(
        width=64, height=64, channels=("R", "G", "B"), types=("half",) * 3, tile=(16, 16), levels=7
    )
    chance = np.random.default_rng(1)
    made = [chance.random((h, w, 3)).astype(np.float16) for w, h in part.level_sizes]
    write_parts(path, [part], [[partial(iter, [rows]) for rows in made]])
    return part


def test_a_file_that_lost_its_end_is_noticed(tmp_path: Path):
    """Whatever is cut off the end holds the last level, and its lack is an error."""
    path = tmp_path / "levels.exr"
    part = written(path)
    _expect_levels(path, 0, part)
    whole = path.read_bytes()
    for keep in (len(whole) - 1, len(whole) // 2):
        path.write_bytes(whole[:keep])
        with pytest.raises(ImageError, match="to its end"):
            _expect_levels(path, 0, part)


def test_channels_that_are_not_there_are_not_marked(tmp_path: Path):
    """Only float channels by these names become whole numbers; a cut header is an error."""
    path = tmp_path / "levels.exr"
    written(path)
    before = path.read_bytes()
    for names in (["ID"], ["R"]):  # R is half
        with pytest.raises(ImageError, match="no float channels"):
            mark_whole_numbers(path, [names])
    assert path.read_bytes() == before
    path.write_bytes(before[:40])
    with pytest.raises(ImageError, match="cut off"):
        mark_whole_numbers(path, [["ID"]])


def test_parts_are_read_as_they_were_written(tmp_path: Path):
    """Layout and rows come back; whole numbers of 32 bits are read exactly."""
    path = tmp_path / "ids.exr"
    part = Part(
        width=5, height=3, channels=("R", "G", "B", "ID"), types=("half", "half", "half", "uint")
    )
    ids = np.random.default_rng(1).integers(0, 2**32, (3, 5), dtype=np.uint64).astype(np.uint32)
    rows = np.zeros((3, 5, 4), part.array_type)
    rows[..., 3] = ids.view(np.float32)
    write_parts(path, [part], [[lambda: iter([rows])]])
    (found,) = read_parts(path)
    assert (found.channels, found.types) == (part.channels, part.types)
    ((colour, back),) = read_rows(path, 0, found)
    assert colour.dtype == np.float16
    assert np.array_equal(back[..., 0], ids)
