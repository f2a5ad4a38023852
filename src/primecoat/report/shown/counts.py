"""How often each number is met in a picture: as stored, or in stops of scene-linear light."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.errors import UseError
from primecoat.inventory import ImageRecord
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.bands import numbers, stored_bands
from primecoat.report.shown.frame import Box, framed
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.opened import Opened, open_picture
from primecoat.report.shown.plain import plain_scale
from primecoat.report.shown.state import config_state
from primecoat.report.shown.wanted import Wanted, check_wanted

Of = Literal["file", "stops"]

BINS = 256
LEAST, GREATEST, PER_STOP = -12, 12, 4
"""Range in stops about mid-grey 0.18, and bins to a stop."""

_GREY = 0.18


@dataclass(frozen=True, slots=True, kw_only=True)
class HistogramOf:
    """Counts of every pixel of a box.

    Parameters
    ----------
    of
        ``file`` (numbers as stored, 8 and 16 bit codes 0 to 1) or ``stops`` (light in the working
        space, in stops above 0.18).
    channels
        Names, one for each row of counts.
    edges
        Edges of the bins.
    counts
        For each channel, how many pixels are in each bin.
    below, above
        For each channel, how many lie outside; for stops, ``below`` counts what is darker but
        still light.
    dark
        For each channel, how many are 0 or negative (stops only).
    not_finite
        For each channel, how many are NaN or infinite; they are in no bin.
    pixels
        How many were counted.
    """

    of: Of
    channels: tuple[str, ...]
    edges: tuple[float, ...]
    counts: tuple[tuple[int, ...], ...]
    below: tuple[int, ...]
    above: tuple[int, ...]
    dark: tuple[int, ...]
    not_finite: tuple[int, ...]
    pixels: int

    def heights(self, *, log: bool = False) -> tuple[tuple[float, ...], ...]:
        """Return the counts as heights 0 to 1 of a drawing, of their logarithm if asked."""
        counts = np.array(self.counts, np.float64)
        drawn = np.log1p(counts) if log else counts
        return tuple(map(tuple, (drawn / max(drawn.max(), 1e-12)).tolist()))


def histogram_of(image: ImageRecord | Path | str, wanted: Wanted, of: Of = "file") -> HistogramOf:
    """Count every pixel of a picture or of a box of it, band by band.

    Raises
    ------
    UseError
        If stops are asked of numbers that are no light.
    """
    check_wanted(wanted)
    if of == "stops" and not wanted.is_colour:
        raise UseError(
            f"Numbers read as {wanted.reading} have no stops.", "Count them as stored: of=file."
        )
    opened = open_picture(image, layer=wanted.layer, frame=wanted.frame)
    box = framed((opened.width, opened.height), wanted.box).box
    light = (
        (wanted.reading, wanted.viewing.working, config_state(wanted)) if of == "stops" else None
    )
    key = ("histogram", opened.source.key(), opened.planes, box, light)
    return KEPT.get(
        key, lambda: in_worker(opened.source.name, _count, opened, wanted, of, box), lambda _: 32768
    )


def _count(opened: Opened, wanted: Wanted, of: Of, box: Box) -> HistogramOf:
    colours = len(opened.planes.colour)
    if of == "file":
        scale = plain_scale(opened)
        edges = np.linspace(scale.low, scale.high, BINS + 1)
        names = opened.planes.names
    else:
        edges = np.linspace(LEAST, GREATEST, (GREATEST - LEAST) * PER_STOP + 1)
        names = ("red", "green", "blue")
    counts = np.zeros((len(names), len(edges) - 1), np.int64)
    below, above, dark, broken = (np.zeros(len(names), np.int64) for _ in range(4))
    with opened.source.opened() as path:
        for _, band in stored_bands(path, opened.planes, box):
            values = numbers(band)
            if of == "stops":
                values = _light(values[..., :colours], wanted)
            for at in range(len(names)):
                own = values[..., at].ravel()
                sound = np.isfinite(own)
                broken[at] += own.size - np.count_nonzero(sound)
                own = own[sound]
                if of == "stops":
                    lit = own > 0
                    dark[at] += own.size - np.count_nonzero(lit)
                    own = np.log2(own[lit] / np.float32(_GREY))
                below[at] += np.count_nonzero(own < edges[0])
                above[at] += np.count_nonzero(own > edges[-1])
                counts[at] += _binned(own, edges)
    return HistogramOf(
        of=of,
        channels=tuple(names),
        edges=tuple(edges.tolist()),
        counts=tuple(map(tuple, counts.tolist())),
        below=tuple(below.tolist()),
        above=tuple(above.tolist()),
        dark=tuple(dark.tolist()),
        not_finite=tuple(broken.tolist()),
        pixels=box[2] * box[3],
    )


def _binned(values: NDArray[np.float32], edges: NDArray[np.float64]) -> NDArray[np.int64]:
    found, _ = np.histogram(values, bins=len(edges) - 1, range=(edges[0], edges[-1]))
    return np.asarray(found, np.int64)


def _light(values: NDArray[np.float32], wanted: Wanted) -> NDArray[np.float32]:
    if values.shape[-1] == 1:
        values = np.repeat(values, 3, axis=-1)
    elif values.shape[-1] == 2:
        values = np.concatenate([values, np.zeros_like(values[..., :1])], axis=-1)
    return convert(values, wanted.reading, wanted.viewing.working, wanted.viewing.config)
