"""PC316: colours that the new working space cannot hold."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.colour.ocio.kept import Stamp, stamp
from primecoat.findings import Finding, finding
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_BELOW = -1e-3
"""A negative part smaller than this, against the colour's own brightest channel, is rounding."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every picture with sampled colours outside the working space.

    Spaces whose primaries lie within those of the working space cannot bring any: there the
    counts after the move are no greater than before.
    """
    state = stamp(readings.config)
    for image in readings.images:
        counts = _counts(image, readings, state)
        if counts is None:
            continue
        before, after, total, worst = counts
        if after:
            yield finding(
                "colour_out_of_gamut",
                image.record.path,
                f"{after} of {total} sampled colours lie outside {readings.to_space} once "
                f"converted (before, {before} lay outside the picture's own primaries); the "
                f"farthest is {worst[0]:.3g} {worst[1]:.3g} {worst[2]:.3g}.",
                "Keep them (the default), clip or compress them where the house has a rule for "
                "it. As reflectance, negative values must go; as light they may stay.",
            )


def _counts(
    image: ImageReading, readings: Readings, state: Stamp
) -> tuple[int, int, int, NDArray[np.float32]] | None:
    """Return colours outside before and after, of how many, and the farthest one after."""
    statistics, space = image.record.statistics, SPACES.get(image.reading)
    if statistics is None or space is None or space.referred != "scene" or not statistics.colours:
        return None
    return _counted(statistics.colours, image.reading, readings.to_space, readings.config, state)


@lru_cache(maxsize=32_768)
def _counted(
    colours: tuple[tuple[float, ...], ...], reading: str, to_space: str, config: str, _: Stamp
) -> tuple[int, int, int, NDArray[np.float32]]:
    """Count some colours; kept, for a survey is judged again after every decision."""
    stored = np.array(colours, dtype=np.float32)
    moved = convert(stored, reading, to_space, config)
    outside = _outside(moved)
    worst = moved[int((moved.min(axis=1) / np.maximum(moved.max(axis=1), 1e-6)).argmin())]
    return int(_outside(stored).sum()), int(outside.sum()), len(moved), worst


def _outside(colours: NDArray[np.float32]) -> NDArray[np.bool_]:
    brightest = np.maximum(np.abs(colours).max(axis=1), 1e-6)
    return np.asarray(colours.min(axis=1) < _BELOW * brightest)
