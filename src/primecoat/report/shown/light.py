"""What pixels are averaged in: light, where the reading says how to get there; else numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert, has_space, kept_by_config
from primecoat.renders.corrections.light import linear_beside

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Averaging:
    """How several pixels become one.

    Parameters
    ----------
    reading
        Whose light is averaged; None where the numbers are averaged as they are.
    linear
        Linear space with the primaries of the reading.
    config
        Config that knows both.
    """

    reading: str | None = None
    linear: str = ""
    config: str = ""

    @property
    def words(self) -> str:
        """How, in words."""
        if self.reading is None:
            return "averaged as numbers"
        return f"averaged as light ({self.linear})"

    def to_light(self, values: Floats) -> Floats:
        """Return the light of numbers, shape (..., n); each channel by itself."""
        if self.reading is None or self.reading == self.linear:
            return values
        return _each(values, self.reading, self.linear, self.config)

    def to_numbers(self, values: Floats) -> Floats:
        """Return the numbers of light: :meth:`to_light` turned round."""
        if self.reading is None or self.reading == self.linear:
            return values
        return _each(values, self.linear, self.reading, self.config)

    def table(self, kind: np.dtype[np.generic]) -> Floats:
        """Return the light of every code of an integer type of 8 or 16 bits."""
        most = np.iinfo(str(kind)).max
        return self.to_light(np.arange(most + 1, dtype=np.float32)[:, None] / np.float32(most))[
            :, 0
        ]


@kept_by_config(most=64)
def averaging(reading: str, config: str) -> Averaging:
    """Return how pixels under a reading are averaged.

    Data and unknown numbers are averaged as numbers; so are colours whose channels depend on each
    other on the way to light (HLG on a display), and those that the config does not know.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> [averaging(one, DEFAULT_CONFIG).words for one in ("srgb_p3d65_scene", "data")]
    ['averaged as light (lin_p3d65_scene)', 'averaged as numbers']
    """
    if reading not in SPACES or not has_space(reading, config):
        return Averaging()
    linear = linear_beside(reading, config)
    if linear is None:
        return Averaging()
    return Averaging(reading, linear, config)


def _each(values: Floats, source: str, target: str, config: str) -> Floats:
    if values.shape[-1] == 3:
        return convert(values, source, target, config)
    grey = np.broadcast_to(values[..., None], (*values.shape, 3))  # each channel as a neutral
    return np.ascontiguousarray(convert(grey, source, target, config)[..., 1])
