"""The direction of green on texture sheets: islands turned all ways, padding, noise, JPEG."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import numpy as np
from tests.images.generated_islands import (
    LAYOUTS,
    PADDINGS,
    flipped,
    sheet_of_islands,
    unrelated,
)

from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure


def direction(folder: Path, data: bytes, suffix: str = "png") -> str:
    path = folder / f"a.{suffix}"
    path.write_bytes(data)
    green = measure(path, read_header(path)).green
    return "undecided" if green is None else green.green


def test_sheets_of_islands(tmp_path: Path):
    """Both directions, twelve kinds of sheet: never wrong, told of most; flipped, it turns."""
    rng = np.random.default_rng(21)
    outcome: Counter[str] = Counter()
    for number in range(72):
        padding, layout = PADDINGS[number % 4], LAYOUTS[number // 4 % 3]
        made = sheet_of_islands(rng, padding, layout, green_up=bool(number // 12 % 2))
        told = direction(tmp_path, made.data, made.suffix)
        outcome[padding] += told != "undecided"
        assert told in ("undecided", "up" if made.green_up else "down"), made.words
        if told != "undecided":
            turned = direction(tmp_path, flipped(made.data))
            assert turned in ("undecided", "down" if made.green_up else "up"), made.words
    assert sum(outcome.values()) >= 44, outcome
    assert outcome["extended"] >= 12, outcome
    assert outcome["flat"] >= 15, outcome


def test_slopes_of_no_surface_tell_nothing(tmp_path: Path):
    rng = np.random.default_rng(22)
    told = [direction(tmp_path, unrelated(rng)) for _ in range(60)]
    assert told.count("undecided") >= 59
