"""Transfer functions between code values (0 to 1) and light, and which one fits samples."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import Curve

Values = NDArray[np.float64]

EXPONENTS: dict[Curve, float] = {"g18": 1.8, "g22": 2.2, "g24": 2.4, "g26": 2.6}
"""Pure power functions. Adobe RGB's 563/256 lies within 0.04 of an 8-bit code of 2.2."""

FITTED: tuple[Curve, ...] = ("linear", "srgb", *EXPONENTS)
"""The curves that a profile can be recognised as."""


def srgb_to_light(codes: NDArray[np.floating]) -> Values:
    """Decode the sRGB curve; numbers below 0 count as 0.

    Source: IEC 61966-2-1:1999.

    Examples
    --------
    >>> round(float(srgb_to_light(np.array(0.5))), 12)
    0.214041140482
    """
    v = np.maximum(np.asarray(codes, dtype=np.float64), 0.0)
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def light_to_srgb(light: NDArray[np.floating]) -> Values:
    """Encode with the sRGB curve; numbers below 0 count as 0.

    Source: IEC 61966-2-1:1999.

    Examples
    --------
    >>> round(float(light_to_srgb(np.array(0.18))), 9)
    0.46135613
    """
    v = np.maximum(np.asarray(light, dtype=np.float64), 0.0)
    return np.where(v <= 0.0031308, v * 12.92, 1.055 * v ** (1 / 2.4) - 0.055)


def encode(light: NDArray[np.floating], curve: Curve) -> Values:
    """Return the code values (0 to 1) of light under one of the fitted curves."""
    if curve == "srgb":
        return light_to_srgb(light)
    v = np.maximum(np.asarray(light, dtype=np.float64), 0.0)
    return v if curve == "linear" else v ** (1 / EXPONENTS[curve])


def fit_curve(codes: Values, light: Values, quantum: float = 0.0) -> tuple[Curve, float]:
    """Return the curve nearest to samples, and its greatest error in 8-bit codes.

    The error is measured where it is seen, in code values: how far the code that the curve would
    need for the sampled light lies from the code that was sampled.

    Parameters
    ----------
    codes
        Code values, 0 to 1.
    light
        Light at these codes, same shape, finite.
    quantum
        Step in which the light was stored; half of it either way is not held against a curve.
    """
    errors: list[tuple[float, Curve]] = []
    for curve in FITTED:
        low = encode(light - quantum / 2, curve)
        high = encode(light + quantum / 2, curve)
        off = np.maximum(np.maximum(low - codes, codes - high), 0.0)
        errors.append((255.0 * float(np.max(off)), curve))
    error, curve = min(errors)
    return curve, error
