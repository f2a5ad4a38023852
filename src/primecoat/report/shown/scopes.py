"""Scopes of a render as it is seen: waveform by column, parade, histogram; every pixel counted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.renders.frame import read_bands
from primecoat.renders.match.sight import Sight
from primecoat.renders.measure_pair import in_order
from primecoat.renders.screen_light import screen_light
from primecoat.report.shown.frame import framed
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.pair_seen import (
    Floats,
    Look,
    Side,
    codes_of,
    key_of,
    part_of,
    render_of,
)
from primecoat.report.shown.png import rounded
from primecoat.report.shown.wanted import QUICK_PIXELS

Counts = NDArray[np.int64]

COLUMNS: Final = 192
"""Most columns of a waveform."""

CODES: Final = 256
"""Levels of a waveform of codes: those of 8 bits."""

LEVELS: Final = 160
"""Levels of a waveform of luminance, evenly spaced by its logarithm."""

LEAST_NITS: Final = 0.01
"""cd/m² at the bottom of a waveform of luminance."""

_MOST_NITS: Final = {"pq": 10_000.0, "hlg": 1_000.0}
_NITS = 100.0
_AT_ONCE = 1 << 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Scopes:
    """Counts of the pixels of a render as it is seen.

    Parameters
    ----------
    codes
        How many pixels of each column have each 8-bit display code: shape (3, 256, columns), red,
        green, blue. Codes beyond what the display shows are at its ends.
    nits
        How many have each luminance: shape (160, columns), from the bottom up.
    most_nits
        cd/m² at the top.
    below, above
        For red, green, blue: how many codes lie below 0 and above 1.
    dark
        How many are darker than the bottom of the luminance.
    pixels, not_finite
        How many are counted, and how many are NaN or infinite and are not.
    exact
        Whether every pixel of the file is counted, not the means of a smaller picture.
    """

    codes: Counts
    nits: Counts
    most_nits: float
    below: tuple[int, int, int]
    above: tuple[int, int, int]
    dark: int
    pixels: int
    not_finite: int
    exact: bool

    @property
    def histogram(self) -> Counts:
        """How often each 8-bit code is met, shape (3, 256)."""
        return np.asarray(self.codes.sum(axis=2), np.int64)


def scopes_of(sight: Sight, side: Side, look: Look, *, quick: bool = False) -> Scopes:
    """Count the pixels of a render, in bands, on all cores.

    Parameters
    ----------
    look
        What is done before the view.
    quick
        Count the pixels of a smaller picture instead.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    own = look.of(side)
    key = ("scopes", key_of(sight), side, own, quick)
    size = 8 * COLUMNS * (3 * CODES + LEVELS)
    return KEPT.get(key, lambda: _counted(sight, side, own, quick), lambda _: size)


def _counted(sight: Sight, side: Side, look: Look, quick: bool) -> Scopes:
    render = render_of(sight, side)
    if quick:
        shown = framed((render.width, render.height), None, None, QUICK_PIXELS)
        bands: Iterator[Floats] = iter((part_of(sight, side, shown).values,))
        width = shown.width
    else:
        bands, width = (rows for _, rows in read_bands(render)), render.width
    id = sight.pair.screen_id
    most = _MOST_NITS.get(SPACES[id].curve, 100.0) if id is not None else 100.0
    columns = min(COLUMNS, width)
    whole = _Counter(columns, most)

    def count(rows: Floats) -> _Counter:
        own = _Counter(columns, most)
        own.take(sight, side, look, rows)
        return own

    for found in in_order(count, _slabs(bands)):
        whole.merge(found)
    return whole.finished(exact=not quick)


def _slabs(bands: Iterator[Floats]) -> Iterator[Floats]:
    for rows in bands:
        step = max(1, _AT_ONCE // rows.shape[1])
        for first in range(0, len(rows), step):
            yield rows[first : first + step]


class _Counter:
    def __init__(self, columns: int, most: float) -> None:
        self.columns, self.most = columns, most
        self.codes = np.zeros((3, CODES, columns), np.int64)
        self.nits = np.zeros((LEVELS, columns), np.int64)
        self.beyond = np.zeros((2, 3), np.int64)
        self.dark = self.pixels = self.not_finite = 0

    def take(self, sight: Sight, side: Side, look: Look, rows: Floats) -> None:
        high, wide, _ = rows.shape
        place = np.tile(np.arange(wide) * self.columns // wide, high)
        flat = rows.reshape(-1, 3)
        sound = np.isfinite(flat).all(axis=1)
        if not sound.all():
            self.not_finite += int(np.count_nonzero(~sound))
            flat, place = flat[sound], place[sound]
        codes = codes_of(sight, side, np.ascontiguousarray(flat), look)
        self.pixels += len(codes)
        self.beyond += [(codes < 0).sum(axis=0), (codes > 1).sum(axis=0)]
        levels = rounded(codes).astype(np.intp)
        for channel in range(3):
            self.codes[channel] += self._counts(levels[:, channel], place, CODES)
        pair = sight.pair
        shown = np.ascontiguousarray(np.clip(codes, 0, 1), np.float32)
        nits = _NITS * screen_light(shown, pair.screen, pair.screen_id, pair.config)[:, 1]
        lit = nits >= LEAST_NITS
        self.dark += int(len(nits) - np.count_nonzero(lit))
        share = np.log(nits[lit] / LEAST_NITS) / np.log(self.most / LEAST_NITS)
        steps = np.clip(share * LEVELS, 0, LEVELS - 1).astype(np.intp)
        self.nits += self._counts(steps, place[lit], LEVELS)

    def _counts(self, levels: NDArray[np.intp], place: NDArray[np.intp], count: int) -> Counts:
        found = np.bincount(levels * self.columns + place, minlength=count * self.columns)
        return np.asarray(found.reshape(count, self.columns), np.int64)

    def merge(self, other: _Counter) -> None:
        self.codes += other.codes
        self.nits += other.nits
        self.beyond += other.beyond
        self.dark += other.dark
        self.pixels += other.pixels
        self.not_finite += other.not_finite

    def finished(self, *, exact: bool) -> Scopes:
        below, above = ((int(r), int(g), int(b)) for r, g, b in self.beyond.tolist())
        return Scopes(
            codes=self.codes,
            nits=self.nits,
            most_nits=self.most,
            below=below,
            above=above,
            dark=self.dark,
            pixels=self.pixels,
            not_finite=self.not_finite,
            exact=exact,
        )
