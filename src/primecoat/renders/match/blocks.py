"""Two frames made small for a fit: noise and small shifts average out in blocks of pixels."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.renders.bands import Band, bands_together
from primecoat.renders.frame import Frame
from primecoat.renders.pairing import Pair
from primecoat.renders.screen_light import LIGHT

Floats = NDArray[np.float32]

WORKING = "lin_ap1_scene"
"""Space that light of the scene is averaged in."""

BLOCKS = 9000
"""About how many blocks pictures are made small to, over all frames."""

BLOCKS_OF_A_FRAME = 900
"""Fewest of a frame of a long sequence: with fewer, an edge runs through each of them."""

_EVEN = 0.15
"""Standard deviation of the light in a block, as a share of its mean, up to which it is even: an
edge runs through others, and a shift by a pixel changes them."""

_ENOUGH = 64
"""How many even blocks are enough for a fit; with fewer, all are taken."""

_DARK = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks:
    """The mean light of blocks of two frames, row by row.

    Parameters
    ----------
    old, new
        Shape (height, width, 3), NaN where less than half of a block is finite in both. ``new``
        is linear AP1; ``old`` too, or light of a display (X, Y, Z) if its numbers are
        display-referred.
    even
        Blocks that no edge runs through in either, shape (height, width).
    side
        Side of a block in pixels.
    """

    old: Floats
    new: Floats
    even: NDArray[np.bool_]
    side: int


def side_for(pixels: int, blocks: int = BLOCKS) -> int:
    """Return the side of the blocks for so many pixels.

    Examples
    --------
    >>> side_for(640 * 360), side_for(3840 * 2160), side_for(12)
    (6, 31, 1)
    """
    return max(1, ceil(sqrt(pixels / blocks)))


def blocks_of(pair: Pair, side: int) -> Blocks:
    """Return two frames as blocks, decoded once, in bands.

    Raises
    ------
    ImageError
        If a picture cannot be decoded to the end.
    """
    found = [_band(band, pair, side) for band in bands_together(pair.a, pair.b, side)]
    old, new, even = (np.concatenate(pieces) for pieces in zip(*found, strict=True))
    return Blocks(old=old, new=new, even=even, side=side)


def chosen(blocks: Blocks) -> NDArray[np.bool_]:
    """Return which blocks a fit looks at, shape (height, width): the even ones, if enough are."""
    known = np.isfinite(blocks.old[..., 0])
    even = known & blocks.even
    return even if np.count_nonzero(even) >= _ENOUGH else known


def light_of(rows: Floats, frame: Frame, config: str) -> Floats:
    """Return numbers of a frame as linear light, in which means are means of light."""
    target = LIGHT if frame.display_referred else WORKING
    return convert(rows, frame.space, target, config)


def _band(band: Band, pair: Pair, side: int) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    old = light_of(band.a, pair.a, pair.config)
    new = light_of(band.b, pair.b, pair.config)
    finite = np.asarray(np.isfinite(old).all(axis=-1) & np.isfinite(new).all(axis=-1))
    count = _sums(finite.astype(np.float64), side)
    size = _sums(np.ones(finite.shape), side)
    enough = count * 2 >= size
    even = enough.copy()
    means = []
    for rows in (old, new):
        kept = np.where(finite[..., None], rows, 0.0).astype(np.float64)
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = _sums(kept, side) / np.where(enough, count, np.nan)[..., None]
        bright = kept[..., 1]
        spread = _sums(bright**2, side) / np.maximum(count, 1) - mean[..., 1] ** 2
        level = np.maximum(np.abs(mean[..., 1]), _DARK)
        even &= np.sqrt(np.maximum(np.nan_to_num(spread), 0.0)) <= _EVEN * level
        means.append(mean.astype(np.float32))
    return means[0], means[1], even


def _sums(values: NDArray[np.float64], side: int) -> NDArray[np.float64]:
    if side == 1:
        return values
    rows = np.add.reduceat(values, np.arange(0, values.shape[0], side), axis=0)
    return np.asarray(np.add.reduceat(rows, np.arange(0, values.shape[1], side), axis=1))
