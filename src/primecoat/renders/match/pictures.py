"""The picture of a match: the old render as it was seen, the new one before and after."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import ciede2000
from primecoat.renders.canvas import block_of
from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.blocks import blocks_of
from primecoat.renders.match.model import Match
from primecoat.renders.pictures.draw import captioned, difference_map, on_screen, save_picture

Rows = NDArray[np.float32]


def draw_match(match: Match, path: Path) -> Path:
    """Write one PNG: old, new before, new after, and what is left; of a sequence, its first frame.

    Raises
    ------
    ImageError
        If it cannot be written.
    """
    sight, pair = match.sight, match.sight.pair
    blocks = blocks_of(pair, block_of(pair.a.width, pair.a.height))
    shape = blocks.old.shape
    old, new = (np.nan_to_num(rows).reshape(-1, 3) for rows in (blocks.old, blocks.new))
    known = np.isfinite(blocks.old[..., 0]).ravel()
    target = sight.old_codes(old)
    before = sight.new_codes(new, Adjustment())
    after = sight.new_codes(new, match.result.adjustment)
    left = np.where(known, ciede2000(sight.lab(after), sight.lab(target)), 0.0)
    shown = [
        captioned(on_screen(codes.reshape(shape), pair), caption)
        for codes, caption in (
            (target, f"OLD AS IT WAS SEEN: {pair.a.path.name}"),
            (before, f"NEW BEFORE: {pair.b.path.name}"),
            (after, f"NEW AFTER: {match.chosen}"),
        )
    ]
    p99 = float(np.percentile(left[known], 99)) if known.any() else 0.0
    shown.append(
        difference_map(left.reshape(shape[:2]).astype(np.float32), p99, "CIEDE2000 THAT IS LEFT")
    )
    width = max(picture.shape[1] for picture in shown)
    return save_picture(path, np.concatenate([_widened(one, width) for one in shown]))


def _widened(picture: Rows, width: int) -> Rows:
    more = width - picture.shape[1]
    return np.pad(picture, ((0, 0), (0, more), (0, 0)), mode="edge") if more else picture
