"""Light rolled over stops: panels side by side, what was cut off in the file marked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from primecoat.images.light_range import PLATEAU
from primecoat.report.shown.apart import in_worker
from primecoat.report.shown.bands import numbers, stored_bands
from primecoat.report.shown.decoded import Decoded
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.opened import Opened
from primecoat.report.shown.seen import display_codes
from primecoat.report.shown.wanted import STRIP, Wanted

Floats = NDArray[np.float32]


def strip_codes(
    opened: Opened, held: Decoded, wanted: Wanted, values: Floats
) -> tuple[Floats, tuple[str, ...], NDArray[np.bool_]]:
    """Return panels of one picture, each at another exposure, from dark to bright.

    Parameters
    ----------
    held
        The picture, at the size of one panel.
    values
        Its red, green and blue.

    Returns
    -------
    tuple
        Codes, shape (height, panels x width, 3); sentences; and where pixels stand at a plateau,
        the flat top of light that was cut off: at least nine pixels at exactly the greatest
        number of the picture, and no more than half of it.
    """
    viewing = wanted.viewing
    stops = [viewing.stops + step for step in STRIP]
    panels = [
        display_codes(values, wanted.reading, replace(viewing, stops=exposure))
        for exposure in stops
    ]
    high = opened.whole().high
    count = KEPT.get(
        ("at the top", opened.source.key(), opened.planes, high),
        lambda: in_worker(opened.source.name, _at_the_top, opened, high),
        lambda _: 64,
    )
    flat = PLATEAU <= count <= opened.width * opened.height / 2
    cut = (held.greatest >= high) & flat
    words = [f"{', '.join(f'{one:+g}' for one in stops)} stops from left to right."]
    for exposure, panel in zip(stops, panels, strict=True):
        white = float(np.mean((panel >= 1.0).any(axis=-1)))
        if white:
            words.append(f"At {exposure:+g} a code is at its top in {white:.1%} of the pixels.")
    words.append(
        f"{count} pixels stand at the greatest number, {high:g}: light was cut off there, hatched."
        if flat
        else f"No light was cut off: {count} pixels stand at the greatest number, {high:g}."
    )
    return np.concatenate(panels, axis=1), tuple(words), np.tile(cut, (1, len(panels)))


def _at_the_top(opened: Opened, high: float) -> int:
    """Return how many pixels have a channel at the greatest number of the picture."""
    colours = len(opened.planes.colour)
    count = 0
    with opened.source.opened() as path:
        for _, band in stored_bands(path, opened.planes, (0, 0, opened.width, opened.height)):
            top = numbers(band[..., :colours]) == np.float32(high)
            count += int(np.count_nonzero(top.any(axis=-1)))
    return count
