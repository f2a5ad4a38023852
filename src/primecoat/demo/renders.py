"""Two renders of the tea table, before and after the switch, and what was done to the old one."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from primecoat.demo.courtyard import build_courtyard
from primecoat.demo.paint import Picture
from primecoat.demo.placing import put, refuse_changed_files
from primecoat.demo.tea_table import tea_table
from primecoat.errors import UseError
from primecoat.images.oiio import write_pixels
from primecoat.jobs import Progress, silent

SHAPE = (360, 640)
NOISE = 0.01
"""Noise of a render as a share of its light, one standard deviation."""

BEFORE, SECOND_SEED, AFTER = "before.exr", "before_second_seed.exr", "after.exr"
CORRECTIONS = "before_corrections.toml"

_CORRECTIONS = """\
# What was done to before.exr as it was shown, in this order.
space = "lin_rec709_scene"

[[correction]]
name = "a third of a stop up"
exposure = 0.333

[[correction]]
name = "warm"
white_balance = [1.06, 1, 0.92]

[[correction]]
name = "highlights"
points = [[0, 0], [0.18, 0.2], [0.6, 0.55], [1, 0.75], [4, 0.95], [16, 1]]
beyond = "hold"
"""


def write_renders(folder: Path, *, progress: Progress | None = None) -> tuple[Path, ...]:
    """Write the renders and the corrections into a new or empty folder.

    ``before.exr`` is linear Rec.709 and, as renders often do, does not say so; ``after.exr`` is
    ACEScg and says so; both have noise of their own, and there is a second seed of the first.

    Parameters
    ----------
    folder
        Where to; made if it is not there. One that holds these very files is left as it is.
    progress
        Told how many of the pictures are made, first without their noise.

    Returns
    -------
    tuple of pathlib.Path
        All files.

    Raises
    ------
    UseError
        If the folder holds anything else, or cannot be written to.
    """
    _refuse_other_content(folder)
    court = build_courtyard()
    told = progress or silent
    told(0, _STEPS, 0, 0)
    before = tea_table(court, SHAPE, "lin_rec709_scene")
    told(1, _STEPS, 0, 0)
    after = tea_table(court, SHAPE, "lin_ap1_scene")
    told(2, _STEPS, 0, 0)
    with tempfile.TemporaryDirectory(prefix="primecoat-demo-") as aside:
        built = Path(aside)
        _write(built / BEFORE, _noisy(before, 1))
        told(3, _STEPS, 0, 0)
        _write(built / SECOND_SEED, _noisy(before, 2))
        told(4, _STEPS, 0, 0)
        _write(built / AFTER, _noisy(after, 3), colorInteropID="lin_ap1_scene")
        told(_STEPS, _STEPS, 0, 0)
        (built / CORRECTIONS).write_text(_CORRECTIONS, encoding="utf-8")
        names = (BEFORE, SECOND_SEED, AFTER, CORRECTIONS)
        refuse_changed_files(folder, {name: (built / name).read_bytes() for name in names})
        return tuple(put(built / name, folder / name) for name in names)


_STEPS = 5
"""Two pictures without noise, three with it."""


def _noisy(light: Picture, seed: int) -> Picture:
    noise = np.random.default_rng(seed).normal(0.0, NOISE, light.shape)
    return np.asarray(light * (1.0 + noise), np.float32)


def _write(path: Path, light: Picture, **attributes: str) -> None:
    pinned = {"DateTime": "2026:01:01 00:00:00"}  # else the header says when it was written
    write_pixels(path, light, pixel_type="half", attributes={**pinned, **attributes})


def _refuse_other_content(folder: Path) -> None:
    known = {BEFORE, SECOND_SEED, AFTER, CORRECTIONS}
    try:
        others = {item.name for item in folder.iterdir()} - known if folder.exists() else set()
    except NotADirectoryError as error:
        raise UseError(f"{folder} is a file.", "Name a folder that is new or empty.") from error
    if others:
        raise UseError(
            f"The folder {folder} is not empty and does not hold these renders.",
            "Name a folder that is empty or not there yet.",
        )
