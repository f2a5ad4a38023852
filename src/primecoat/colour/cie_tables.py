"""Tables of the CIE by wavelength: the observer, and the phases of daylight."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib import resources
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.primaries import Chromaticity

Floats = NDArray[np.float64]

_OBSERVER: Final = "cie1931_2deg_5nm.csv"
_DAYLIGHT: Final = "cie_daylight_10nm.csv"


def cie_1931_observer() -> tuple[Floats, Floats]:
    """Return wavelengths in nm, shape (95,), and x, y, z of the 2 degree observer, (95, 3)."""
    table = _table(_OBSERVER)
    return table[:, 0], table[:, 1:]


def daylight_spectrum(xy: Chromaticity) -> tuple[Floats, Floats]:
    """Return the relative power of a phase of daylight.

    Source: CIE 15, section 3.1: S = S0 + M1 S1 + M2 S2, the two factors unrounded.

    Parameters
    ----------
    xy
        A chromaticity of the daylight locus, see :func:`primecoat.colour.locus.daylight_xy`.

    Returns
    -------
    tuple of numpy.ndarray
        Wavelengths in nm, every 10 from 300 to 830, and power, 100 at 560 nm; shape (54,) each.

    Examples
    --------
    >>> wavelengths, power = daylight_spectrum((0.31271, 0.32902))
    >>> power[wavelengths == 560].round(3).tolist()
    [100.0]
    """
    x, y = xy
    below = 0.0241 + 0.2562 * x - 0.7341 * y
    first = (-1.3515 - 1.7703 * x + 5.9114 * y) / below
    second = (0.0300 - 31.4424 * x + 30.0717 * y) / below
    table = _table(_DAYLIGHT)
    return table[:, 0], table[:, 1] + first * table[:, 2] + second * table[:, 3]


@lru_cache(maxsize=2)
def _table(name: str) -> Floats:
    text = resources.files("primecoat.colour").joinpath(name).read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    rows = np.array([[float(cell) for cell in row] for row in list(csv.reader(lines))[1:]])
    rows.flags.writeable = False
    return rows
