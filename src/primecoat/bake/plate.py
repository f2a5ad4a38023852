"""Pictures that are ready for a display, taken back to light through a view turned round.

A backplate or a logo shows its own colours again only under the view it was taken back through.
What that view never shows cannot be brought back: it is counted, and how far off it comes out is
measured on the picture's own pixels.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.stored_numbers import Rows, Tally, as_values
from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.ocio import (
    against_view,
    convert_rows,
    display_reading,
    display_xyz,
    through_view,
)

Floats = NDArray[np.float32]

_BIN, _MOST = 0.02, 100.0
"""Width of the bins that differences are counted in, and where they end: CIEDE2000."""

_SHOWN = 0.5
"""Difference in 8-bit codes up to which a colour counts as shown."""

_BLOCK = 1 << 18
"""Pixels that are turned round at once."""


@dataclass(slots=True)
class Turned:
    """A view turned round for one picture, and what came of it.

    Parameters
    ----------
    reading
        Color Interop ID of the picture's code values.
    to_space, config
        Space that the light is wanted in, and the config.
    display, view
        The view that it will be seen through.
    """

    reading: str
    to_space: str
    config: str
    display: str
    view: str
    _differences: NDArray[np.int64] = field(
        default_factory=lambda: np.zeros(round(_MOST / _BIN) + 1, np.int64)
    )

    def light(self, rows: Rows, tally: Tally) -> Floats:
        """Return the light of rows of code values; shape (rows, width, 3).

        Codes outside 0 to 1 are none of a display's, and are taken as the nearest that is.
        """
        flat = np.ascontiguousarray(rows.reshape(-1, 3))
        out = np.empty(flat.shape, np.float32)
        for first in range(0, len(flat), _BLOCK):
            block = flat[first : first + _BLOCK]
            colours, places, counts = _distinct(block)
            light = self._turned(colours, counts, tally)
            out[first : first + len(block)] = light if places is None else light[places]
        return out.reshape(rows.shape)

    def finish(self, tally: Tally) -> None:
        """Put the mean and the 95th percentile of all differences into the tally."""
        total = int(self._differences.sum())
        if not total:
            return
        middles = np.arange(len(self._differences)) * _BIN
        tally.residual_mean = round(float(middles @ self._differences) / total, 3)
        at = int(np.searchsorted(np.cumsum(self._differences), 0.95 * total))
        tally.residual_p95 = round(float(middles[at]), 3)

    def _turned(self, colours: Rows, counts: NDArray[np.int64], tally: Tally) -> Floats:
        codes = self._codes(colours)
        seen = self.display, self.view, self.config
        light = against_view(codes, self.to_space, *seen)
        shown = through_view(light, self.to_space, *seen)
        off = 255.0 * np.abs(shown - codes).max(axis=-1)
        found = ciede2000(lab(display_xyz(codes, *seen)), lab(display_xyz(shown, *seen)))
        bins = np.rint(np.nan_to_num(found, nan=_MOST).clip(0, _MOST) / _BIN).astype(np.int64)
        np.add.at(self._differences, bins, counts)
        tally.seen += int(counts.sum())
        tally.unreachable += int(counts[off > _SHOWN].sum())
        worst = int(off.argmax())
        if off[worst] > tally.off:
            tally.off = round(float(off[worst]), 3)
            tally.worst = f"{_hex(codes[worst])} shows as {_hex(shown[worst])}"
        return light

    def _codes(self, colours: Rows) -> Floats:
        """Return code values of the view's own display."""
        own = display_reading(self.display, self.view, self.config)
        if own == self.reading:
            values = as_values(colours)
        else:
            values = convert_rows(np.ascontiguousarray(colours), self.reading, own, self.config)
        return np.asarray(np.nan_to_num(values).clip(0, 1), np.float32)


def _distinct(
    block: Rows,
) -> tuple[Rows, NDArray[np.intp] | None, NDArray[np.int64]]:
    """Return the colours of a block, where each pixel's is, and how many pixels have it."""
    if block.dtype != np.uint8:
        return block, None, np.ones(len(block), np.int64)
    packed = block.astype(np.uint32) @ np.array([1 << 16, 1 << 8, 1], np.uint32)
    found, places, counts = np.unique(packed, return_inverse=True, return_counts=True)
    colours = np.stack([found >> 16, found >> 8 & 255, found & 255], axis=-1).astype(np.uint8)
    return colours, places.reshape(-1), counts.astype(np.int64)


def _hex(codes: NDArray[np.floating]) -> str:
    red, green, blue = np.floor(255.0 * codes.clip(0, 1) + 0.5).astype(int).tolist()
    return f"#{red:02x}{green:02x}{blue:02x}"
