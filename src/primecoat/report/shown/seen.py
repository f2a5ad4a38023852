"""Numbers under a reading, through the working space and the exposure, to codes of a display.

Bands of rows go to all cores: OpenColorIO lets other threads run while it works (measured: a thread
that counts in Python meanwhile goes on at half its speed; it would stand still if not).
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from primecoat import jobs
from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    DEFAULT_DISPLAY,
    DEFAULT_VIEW,
    convert,
    through_view,
)

Floats = NDArray[np.float32]

_BAND_PIXELS = 1 << 15


@dataclass(frozen=True, slots=True, kw_only=True)
class Viewing:
    """How light is looked at.

    Parameters
    ----------
    working
        Color Interop ID of the working space.
    display, view
        Of the config.
    stops
        Exposure: light is multiplied by 2 to this power, in the working space.
    config
        Built-in name or path.
    """

    working: str = "lin_ap1_scene"
    display: str = DEFAULT_DISPLAY
    view: str = DEFAULT_VIEW
    stops: float = 0.0
    config: str = DEFAULT_CONFIG


def working_values(values: Floats, reading: str, viewing: Viewing) -> Floats:
    """Return numbers under a reading as values of the working space, exposed; shape (..., 3)."""
    light = convert(values, reading, viewing.working, viewing.config)
    if viewing.stops:
        light *= np.float32(2.0**viewing.stops)
    return light


def display_codes(
    values: Floats, reading: str, viewing: Viewing, *, threads: int | None = None
) -> Floats:
    """Return display codes of numbers, 0 to 1, beyond where the view goes beyond.

    They are those of OpenColorIO's own processor without optimisation, bit for bit.

    Parameters
    ----------
    values
        Shape (height, width, 3) or (n, 3).
    reading
        What the numbers are taken for: a colour space of the vocabulary.
    threads
        How many bands at a time; by default one for each core.
    """

    def see(band: Floats) -> Floats:
        light = working_values(band, reading, viewing)
        return through_view(light, viewing.working, viewing.display, viewing.view, viewing.config)

    return _in_bands(values, see, jobs.cores() if threads is None else threads)


def _in_bands(values: Floats, work: Callable[[Floats], Floats], threads: int) -> Floats:
    flat = values.reshape(-1, 3)
    if threads < 2 or len(flat) <= _BAND_PIXELS:
        return work(values)
    out = np.empty(flat.shape, np.float32)

    def one(first: int) -> None:
        rows = slice(first, first + _BAND_PIXELS)
        out[rows] = work(flat[rows])

    work(flat[:1])  # processors are built once, before several threads ask for them
    list(_pool(threads).map(one, range(0, len(flat), _BAND_PIXELS)))
    return out.reshape(values.shape)


@lru_cache(maxsize=4)
def _pool(threads: int) -> ThreadPoolExecutor:
    """Return threads that stay: to start them anew for each picture that is dragged costs more."""
    return ThreadPoolExecutor(threads, thread_name_prefix="bands")
