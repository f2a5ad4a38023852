"""A correction seen as what it does to light: in linear RGB of the primaries that it works in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, has_space, kept_by_config
from primecoat.errors import UseError
from primecoat.renders.corrections.model import Correction, Floats

GREY: Final = 0.18
"""Mid-grey, the reflectance that stops are counted from; common practice, no source."""

_LOG_WITHIN: Final = 0.001
"""A stop is as many codes everywhere, within this share, where a space is logarithmic."""

_LOG_BELOW_GREY: Final = 4.0
"""A space counts as logarithmic if it is so from this many stops below mid-grey upwards: a gain
in light is an offset there. ACEScct is so from 4.5 stops below (S-2016-001: from 0.0078125)."""


_CARRIED: Final = 1e-4
"""Relative deviation of a colour put into a space and taken out that counts as none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """What a correction does to light.

    Parameters
    ----------
    correction
        The correction; the numbers that go in stand for light in the scene.
    space
        Color Interop ID of the linear space: that of the primaries it works in, if the vocabulary
        has them.
    channels
        The primaries that it works in, as columns of linear RGB of ``space``; any scale.
    floor
        Light below which a space that it works in is not logarithmic; 0 if none ever is.
    config
        The config that converts.
    """

    correction: Correction
    space: str
    channels: Floats
    floor: float
    config: str

    def __call__(self, light: Floats) -> Floats:
        """Return linear RGB after the correction, shape (..., 3), for linear RGB before it."""
        one = self.correction
        codes = light if one.works_in == self.space else self._to(light, self.space, one.works_in)
        after = np.asarray(one.run(codes), dtype=np.float64)
        if one.gives != self.space:
            after = self._to(after, one.gives, self.space)
        return after

    def sound(self, before: Floats, after: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Return which rows lie, before and after, where a log space is logarithmic; all if none.

        Below that an offset of codes lifts shadows, which is the encoding's doing.
        """
        if not self.floor:
            return np.ones(len(before), dtype=np.bool_)
        return np.asarray((before.min(axis=1) >= self.floor) & (after.min(axis=1) >= self.floor))

    def carried(self, colours: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Return which rows a log space gives back as they were put in; all if it is none.

        ACEScc cuts off what is negative in AP0, whatever the correction (S-2014-003).
        """
        kept = np.ones(len(colours), dtype=np.bool_)
        if not self.floor:
            return kept
        for space in {self.correction.works_in, *self.correction.through} - {self.space}:
            back = self._to(self._to(colours, self.space, space), space, self.space)
            off = np.abs(back - colours).max(axis=1)
            kept &= off <= _CARRIED * np.abs(colours).max(axis=1)
        return kept

    def _to(self, values: Floats, source: str, target: str) -> Floats:
        return convert(values, source, target, self.config).astype(np.float64)


def light_of(correction: Correction, target: str, config: str) -> Light:
    """Return a correction on light in the scene as what it does to light.

    Parameters
    ----------
    target
        Linear space to look at it in if the vocabulary has none with its primaries.
    """
    space = linear_beside(correction.works_in, config)
    return Light(
        correction=correction,
        space=space or target,
        channels=_channels(correction.works_in, space or target, config),
        floor=max(
            _log_floor(on_the_way, space or target, config)
            for on_the_way in (correction.works_in, *correction.through)
        ),
        config=config,
    )


@kept_by_config(most=64)
def linear_beside(space: str, config: str) -> str | None:
    """Return the linear scene space with the primaries of a space; None if none is known.

    Found by numbers: a channel of one depends on that channel of the other alone.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> linear_beside("ACEScct", DEFAULT_CONFIG), linear_beside("g22_rec709_scene", DEFAULT_CONFIG)
    ('lin_ap1_scene', 'lin_rec709_scene')
    """
    for linear in SPACES.values():
        if not linear.linear or linear.referred != "scene" or not has_space(linear.id, config):
            continue
        if linear.id == space:
            return space
        change = np.abs(_channels(space, linear.id, config))
        if (change[~np.eye(3, dtype=np.bool_)] < 1e-4 * change.max()).all():
            return linear.id
    return None


def _channels(space: str, linear: str, config: str) -> Floats:
    codes = np.full((4, 3), 0.4)
    codes[[1, 2, 3], [0, 1, 2]] = 0.5
    moved = convert(codes, space, linear, config).astype(np.float64)
    return np.asarray((moved[1:] - moved[0]).T)


@kept_by_config(most=64)
def _log_floor(space: str, linear: str, config: str) -> float:
    if space == linear:
        return 0.0
    stops = np.arange(-12.0, 9.01, 0.125)
    greys = np.repeat(GREY * np.exp2(stops)[:, None], 3, axis=1)
    try:
        codes = convert(greys, linear, space, config).astype(np.float64)[:, 1]
    except UseError:
        return 0.0
    slopes = np.diff(codes)
    even = np.abs(slopes / slopes[-1] - 1.0) <= _LOG_WITHIN if slopes[-1] > 0 else slopes < 0
    first = len(even) if not even[-1] else int(np.argmin(even[::-1]))
    lowest = stops[-1] if not even[-1] else stops[len(even) - first] if first else stops[0]
    return float(GREY * np.exp2(lowest)) if lowest <= -_LOG_BELOW_GREY else 0.0
