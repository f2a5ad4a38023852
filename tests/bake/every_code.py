"""All 8-bit sRGB colours to ACEScg, stored, and back, through whole files: how many change.

Run by itself (``python -m tests.bake.every_code``) it takes all 16 777 216 colours, which needs
about a minute; the tests take every 61st.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from tests.bake.files import bake, read, write

SRGB, LINEAR, ENCODED = "srgb_rec709_scene", "lin_ap1_scene", "srgb_ap1_scene"

ALL = 1 << 24
STRIDE = 61
"""A prime, so that every code of every channel is among the colours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to store the working space, and what is known of it.

    Parameters
    ----------
    name, to_space, number
        File, space and type of the numbers.
    share, greatest
        Per cent of colours that change, and the greatest change in one channel. Measured once with
        OpenColorIO 2.6.0 and NumPy on all colours, not through files.
    """

    name: str
    to_space: str
    number: Literal["half", "16-bit", "8-bit"]
    share: float
    greatest: int


WAYS = (
    Way(name="linear.tif", to_space=LINEAR, number="16-bit", share=0.0, greatest=0),
    Way(name="encoded.png", to_space=ENCODED, number="16-bit", share=0.0, greatest=0),
    Way(name="linear.exr", to_space=LINEAR, number="half", share=0.458, greatest=1),
    Way(name="encoded8.png", to_space=ENCODED, number="8-bit", share=70.1, greatest=20),
    Way(name="linear8.tif", to_space=LINEAR, number="8-bit", share=74.7, greatest=15),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """What one way came to, by comparing files, and what the bake said of itself."""

    share: float
    greatest: int
    said_share: float
    said_greatest: int


def count(folder: Path, way: Way, stride: int) -> Count:
    """Bake every so-manieth colour there and back, and count the colours that changed."""
    colours = _colours(stride)
    source = write(folder / "codes.png", colours)
    there, made = bake(source, way.name, SRGB, way.to_space, number=way.number)
    back, _ = bake(there, "back.png", way.to_space, SRGB, number="8-bit")
    off = np.abs(read(back).astype(np.int16) - colours).max(axis=-1)
    tally = made.tally
    return Count(
        share=100.0 * float(np.count_nonzero(off)) / off.size,
        greatest=int(off.max()),
        said_share=100.0 * tally.changed / max(1, tally.colours),
        said_greatest=tally.greatest,
    )


def _colours(stride: int) -> NDArray[np.uint8]:
    codes = np.arange(0, ALL, stride, dtype=np.uint32)
    whole = codes[: codes.size // 4096 * 4096].reshape(-1, 4096)
    return np.stack([whole >> 16 & 255, whole >> 8 & 255, whole & 255], axis=-1).astype(np.uint8)


def main() -> int:
    """Take all colours; 1 if a count is not the known one."""
    right = True
    for way in WAYS:
        with tempfile.TemporaryDirectory() as folder:
            found = count(Path(folder), way, 1)
        same = round(found.share, 1 if way.number == "8-bit" else 3) == way.share
        same &= found.greatest == way.greatest
        right &= same
        print(
            f"{way.number:>6} {way.to_space:<15} {found.share:7.3f} % changed, by up to "
            f"{found.greatest:2}; known: {way.share} %, {way.greatest} {'' if same else 'NO'}"
        )
    return 0 if right else 1


if __name__ == "__main__":
    sys.exit(main())
