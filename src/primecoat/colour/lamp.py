"""The colour of a light that has a colour and a temperature: their product.

Source: UsdLux, ``inputs:colorTemperature``: "When active, the computed result multiplies against
the color attribute." The two are multiplied in the space that the scene is rendered in, and a
product of numbers differs from one set of primaries to another. So it is worked out in the space
the scene was made in, and then converted as one colour: the light stays as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.locus import temperature_rgb
from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.colour.primaries import Triple
from primecoat.errors import UseError

TEMPERATURE_SPACE: Final = "lin_rec709_scene"
"""Space of the RGB that a temperature stands for. Source: UsdLuxBlackbodyTemperatureAsRgb."""

USDLUX_RANGE: Final = (1000.0, 10000.0)
"""Kelvin. The library takes what lies outside for the nearer end (measured, usd-core 26.11)."""


def temperature_factor(kelvin: float) -> Triple:
    """Return the linear Rec.709 RGB, of luminance 1, by which UsdLux multiplies a light's colour.

    See ``USDLUX_6500_K`` in ``locus.py``: 6500 K is not white, and a negative blue is kept.

    Examples
    --------
    >>> temperature_factor(12000) == temperature_factor(10000)
    True
    """
    least, most = USDLUX_RANGE
    return temperature_rgb(min(max(kelvin, least), most), TEMPERATURE_SPACE)


def linear_of(space: str) -> str:
    """Return the linear space with the primaries of another.

    Examples
    --------
    >>> linear_of("srgb_p3d65_scene"), linear_of("lin_ap1_scene")
    ('lin_p3d65_scene', 'lin_ap1_scene')
    """
    primaries = SPACES[space].primaries
    return next(s.id for s in SPACES.values() if s.linear and s.primaries == primaries)


def lamp_rgb(
    colours: Sequence[Triple] | NDArray[np.float64],
    kelvins: Sequence[float | None],
    space: str,
    made_in: str,
    to_space: str,
    config: str = DEFAULT_CONFIG,
) -> NDArray[np.float64]:
    """Return colours multiplied by those of temperatures.

    Parameters
    ----------
    colours
        Shape (n, 3), in ``space``.
    kelvins
        One temperature for each; None where it is not applied.
    space, made_in, to_space
        Color Interop IDs: of the colours, of the (linear) space to multiply in, of the result.

    Returns
    -------
    numpy.ndarray
        Shape (n, 3), in ``to_space``.

    Raises
    ------
    UseError
        If ``made_in`` is not linear.

    Examples
    --------
    >>> [[r, g, b]] = lamp_rgb(
    ...     [(1, 1, 1)], [3200], *["lin_rec709_scene"] * 2, "lin_ap1_scene"
    ... ).tolist()
    >>> round(r / g, 4), round(b / g, 4)
    (1.4625, 0.4509)
    """
    if made_in not in SPACES or not SPACES[made_in].linear:
        raise UseError(f"Light is not multiplied in {made_in}.", "Use a linear space.")
    factors = np.ones((len(kelvins), 3))
    warm = [at for at, kelvin in enumerate(kelvins) if kelvin is not None]
    if warm:
        rgb = np.array([temperature_factor(k) for k in kelvins if k is not None])
        factors[warm] = convert(rgb, TEMPERATURE_SPACE, made_in, config)
    rows = np.asarray(colours, dtype=np.float64).reshape(-1, 3)
    product = convert(rows, space, made_in, config) * factors
    return np.asarray(convert(product, made_in, to_space, config), dtype=np.float64)
