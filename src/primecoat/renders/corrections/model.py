"""A correction as a function of numbers, between two spaces that somebody named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert

Floats = NDArray[np.float64]
Run = Callable[[NDArray[np.floating]], NDArray[np.floating]]
"""RGB numbers, shape (..., 3), to as many; the input is not changed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """One correction.

    Parameters
    ----------
    name
        What it is, in words.
    run
        RGB numbers, shape (..., 3), to as many; the input is not changed.
    works_in, gives
        Spaces of the numbers that go in and come out: Color Interop IDs, or names in the config.
    on_display
        Whether the numbers that go in, and those that come out, stand for light on a display.
    converts
        Whether it does nothing but change the space.
    through
        Spaces that it passes through on its way, if it is several as one.
    clamp
        Whether CDL numbers clamp to 0 to 1; None for all else.
    """

    name: str
    run: Run
    works_in: str
    gives: str
    on_display: tuple[bool, bool] = (False, False)
    converts: bool = False
    through: tuple[str, ...] = ()
    clamp: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """All corrections of a file, in the order that they act in.

    Parameters
    ----------
    path
        The file.
    corrections
        At least one.
    config
        The config that knows their spaces.
    """

    path: Path
    corrections: tuple[Correction, ...]
    config: str

    @property
    def works_in(self) -> str:
        """Space of the numbers that go in."""
        return self.corrections[0].works_in

    @property
    def gives(self) -> str:
        """Space of the numbers that come out."""
        return self.corrections[-1].gives


def seen_through(chain: Chain, values: NDArray[np.floating], source: str) -> NDArray[np.floating]:
    """Return RGB numbers put through all corrections of a chain, in the space it gives.

    Parameters
    ----------
    values
        RGB of ``source``, shape (..., 3); not changed.
    source
        Color Interop ID, or a name in the config.
    """
    return run_between(chain.corrections, values, source, chain.config)[0]


def run_between(
    corrections: tuple[Correction, ...], values: NDArray[np.floating], source: str, config: str
) -> tuple[NDArray[np.floating], str]:
    """Return numbers put through corrections, converted between their spaces, and their space."""
    for one in corrections:
        if source != one.works_in:
            values = convert(values, source, one.works_in, config)
        values = one.run(values)
        source = one.gives
    return values, source
