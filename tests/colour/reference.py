"""The published figures in ``tests/data/reference``; ``SOURCES.md`` there names their sources."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).parent.parent / "data" / "reference"


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one reference file by column name."""
    lines = (FOLDER / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def matrices(name: str) -> dict[str, NDArray[np.float64]]:
    """Return 3 by 3 matrices by name, row-major, for column vectors: ``out = M @ in``."""
    cells = [f"m{row}{column}" for row in range(3) for column in range(3)]
    return {r["name"]: np.array([float(r[c]) for c in cells]).reshape(3, 3) for r in rows(name)}
