"""Colour temperatures: chromaticity on the Planckian or the daylight locus, and linear RGB.

Adaptation is Bradford, as for textures: a light and a wall that matched before the switch to a
new working space match after it.
"""

from __future__ import annotations

from typing import Final, Literal, assert_never

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.cie_tables import cie_1931_observer
from primecoat.colour.ids import SPACES
from primecoat.colour.primaries import D65, Chromaticity, Triple, primaries_of, xy_to_rgb, xyz_to_xy
from primecoat.errors import UseError

Locus = Literal["planckian", "daylight"]

C2: Final = 1.4388e-2
"""Second radiation constant in m K. Source: the International Temperature Scale of 1990. CODATA's
1.438776877e-2 (2018) moves no chromaticity here by more than 4e-6."""

PLANCKIAN_RANGE: Final = (1000.0, 25000.0)
"""Kelvin. Below, next to nothing of the radiation is visible; above, the locus hardly moves."""

DAYLIGHT_RANGE: Final = (4000.0, 25000.0)
"""Kelvin in which the daylight polynomials hold. Source: CIE 15."""

USDLUX_6500_K: Final = (
    "The documentation of UsdLux inputs:colorTemperature says that the colour is calculated with a "
    "D65 white and normalised such that 6500 K always results in white, (1, 1, 1). The library "
    "itself (UsdLuxBlackbodyTemperatureAsRgb, usd-core 26.11) returns linear Rec.709 "
    "(1.0433, 0.9836, 1.0346) for 6500 K: the Planckian radiator of that temperature, which is "
    "slightly pink beside D65. Primecoat follows the library, because that is what renderers "
    "that call it show; it computes the colour from Planck's law, which the library agrees with "
    "to 0.001 from 2000 to 10000 K. Below 1900 K the library cuts the negative blue of Rec.709 "
    "off; Primecoat keeps it."
)
"""Which of the documented and the actual 6500 K of UsdLux is followed, in words to show."""


def planckian_xy(kelvin: float) -> Chromaticity:
    """Return the chromaticity of a black body.

    Planck's law (C2), CIE 1931 2 degree observer every 5 nm from 360 to 830 nm, summed; within
    3e-6 of the sum over every nanometre.

    Parameters
    ----------
    kelvin
        Temperature, 1000 to 25000.

    Raises
    ------
    UseError
        If the temperature is out of range.

    Examples
    --------
    >>> [round(v, 4) for v in planckian_xy(3200)]
    [0.4234, 0.399]
    """
    _check(kelvin, PLANCKIAN_RANGE, "Planckian")
    nanometres, responses = cie_1931_observer()
    metres = nanometres * 1e-9
    power = metres**-5 / np.expm1(C2 / (metres * kelvin))
    return xyz_to_xy(power @ responses)


def daylight_xy(kelvin: float) -> Chromaticity:
    """Return the chromaticity of a phase of daylight.

    Source: CIE 15, polynomials of the daylight locus. The nominal 6500 K of D65 is 6503.6 K here
    (the constant in Planck's law was changed after D65 was fixed).

    Parameters
    ----------
    kelvin
        Correlated colour temperature, 4000 to 25000.

    Raises
    ------
    UseError
        If the temperature is out of range.

    Examples
    --------
    >>> [round(v, 4) for v in daylight_xy(6503.616)]
    [0.3127, 0.3291]
    """
    _check(kelvin, DAYLIGHT_RANGE, "daylight")
    t = float(kelvin)
    if t <= 7000.0:
        x = 0.244063 + 0.09911e3 / t + 2.9678e6 / t**2 - 4.6070e9 / t**3
    else:
        x = 0.237040 + 0.24748e3 / t + 1.9018e6 / t**2 - 2.0064e9 / t**3
    return x, -3.000 * x**2 + 2.870 * x - 0.275


def temperature_rgb(
    kelvin: float,
    space: str,
    *,
    locus: Locus = "planckian",
    adapt_from: Chromaticity | None = D65,
) -> Triple:
    """Return the linear RGB, of luminance 1, of light of a colour temperature.

    Parameters
    ----------
    kelvin
        Temperature in the range of the locus.
    space
        Color Interop ID of a linear space.
    locus
        ``planckian`` (a black body: lamps, UsdLux) or ``daylight`` (CIE phases of daylight).
    adapt_from
        White of the space that the temperature was picked in, carried to the white of ``space``
        by Bradford. The default is that of Rec.709, and what UsdLux prescribes. None adapts
        nothing: a meter in the new space then reads the chromaticity itself.

    Returns
    -------
    tuple of float
        Red, green, blue; luminance 1 in ``space``. A black body below about 1900 K lies outside
        Rec.709 and has a negative blue there, which is kept; it has none in AP1. Bradford moves
        luminance a little: the Rec.709 colour of luminance 1, converted to AP1, is brighter than
        this by 0.4 % at 3200 K and 1.3 % at 1000 K, and darker by 0.4 % at 25000 K. Its ratio of
        red, green and blue is the same.

    Raises
    ------
    UseError
        If the temperature is out of range or the space is not linear.

    Examples
    --------
    >>> red, green, blue = temperature_rgb(3200, "lin_ap1_scene")
    >>> round(red / green, 4), round(blue / green, 4)
    (1.4625, 0.4509)
    """
    primaries = primaries_of(space)
    if not SPACES[space].linear:
        linear = ", ".join(s.id for s in SPACES.values() if s.linear)
        raise UseError(f"{space} is not linear, and light is.", f"Use one of: {linear}.")
    match locus:
        case "planckian":
            xy = planckian_xy(kelvin)
        case "daylight":
            xy = daylight_xy(kelvin)
        case _:
            assert_never(locus)
    return xy_to_rgb(xy, primaries, adapt_from=adapt_from)


def spectral_locus(first: float = 400.0, last: float = 700.0) -> NDArray[np.float64]:
    """Return the chromaticities of light of one wavelength, every 5 nm; shape (n, 2).

    CIE 1931 2 degree observer.

    Parameters
    ----------
    first, last
        Wavelengths in nm.

    Examples
    --------
    >>> spectral_locus(520, 520).round(4).tolist()
    [[0.0743, 0.8338]]
    """
    wavelengths, matching = cie_1931_observer()
    wanted = matching[(wavelengths >= first) & (wavelengths <= last)]
    return np.asarray(wanted[:, :2] / wanted.sum(axis=1, keepdims=True))


def _check(kelvin: float, allowed: tuple[float, float], name: str) -> None:
    least, most = allowed
    if not least <= kelvin <= most:  # also refuses NaN
        raise UseError(
            f"{kelvin:g} K is not on the {name} locus.", f"Give {least:g} to {most:g} K."
        )
