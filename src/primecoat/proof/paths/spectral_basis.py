"""Spectra for linear Rec.709 numbers: three curves whose weights are red, green and blue.

Method: I. Mallett and C. Yuksel, "Spectral Primary Decomposition for Rendering with sRGB
Reflectance", Eurographics Symposium on Rendering 2019. Among all triples of reflectance curves
that add up to 1 at every wavelength, are nowhere below 0, and look red, green and blue under D65,
the smoothest is taken. A mixture of the three is then a possible reflectance for every colour of
Rec.709, and looks exactly like it. Solved here on the CIE's own tables, for bands of 10 nm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.cie_tables import cie_1931_observer, daylight_spectrum
from primecoat.colour.primaries import PRIMARIES, RgbPrimaries, rgb_to_xyz_matrix, xyz_to_xy

Floats = NDArray[np.float64]

FIRST, LAST, STEP = 380, 730, 10
"""Centres of the bands in nm: the range that spectrophotometers commonly report (common practice,
no source); the observer sees less than 0.1 % of daylight outside."""

D65_ON_THE_LOCUS = (0.31271, 0.32902)
"""Chromaticity that the spectrum of D65 is computed for. Source: CIE 15 and ISO/CIE 11664-2."""

_CURVES = 3
_ROUNDS = 300
_PENALTY = 0.02
_EXACT = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class SpectralBasis:
    """How spectra are made from Rec.709, and what they look like.

    Parameters
    ----------
    wavelengths
        Centres of the bands in nm, shape (n,).
    reflectance
        Curves of red, green and blue, shape (n, 3), 0 to 1; each row adds up to 1.
    daylight
        Power of D65, shape (n,): a perfect white under it has Y = 1.
    to_xyz
        From power in each band to X, Y, Z, shape (3, n).
    """

    wavelengths: Floats
    reflectance: Floats
    daylight: Floats
    to_xyz: Floats


@lru_cache(maxsize=1)
def spectral_basis() -> SpectralBasis:
    """Return the basis, solved at the first call (some 50 ms).

    Examples
    --------
    >>> basis = spectral_basis()
    >>> seen = basis.to_xyz @ (basis.daylight * (basis.reflectance @ [0.8, 0.3, 0.1]))
    >>> matrix = rgb_to_xyz_matrix(PRIMARIES["rec709"])
    >>> (np.linalg.inv(matrix) @ seen).round(3).tolist()
    [0.8, 0.3, 0.1]
    """
    wavelengths = np.arange(FIRST, LAST + STEP, STEP, dtype=np.float64)
    matching = _at(wavelengths, *cie_1931_observer())
    power = _at(wavelengths, *daylight_spectrum(D65_ON_THE_LOCUS))
    to_xyz = matching.T
    daylight = power / (to_xyz[1] @ power)
    seen = to_xyz * daylight  # (3, n): X, Y, Z of a reflectance under D65
    rec709 = PRIMARIES["rec709"]
    white = xyz_to_xy(seen.sum(axis=1))  # the tables' own white: (0.3127, 0.3290) to 4 digits
    primaries = RgbPrimaries(red=rec709.red, green=rec709.green, blue=rec709.blue, white=white)
    return SpectralBasis(
        wavelengths=wavelengths,
        reflectance=_smoothest(seen, rgb_to_xyz_matrix(primaries)),
        daylight=daylight,
        to_xyz=to_xyz,
    )


def _at(wanted: Floats, wavelengths: Floats, values: Floats) -> Floats:
    """Return the rows of a table at wavelengths that it holds."""
    return values[np.searchsorted(wavelengths, wanted)]


def _smoothest(seen: Floats, targets: Floats) -> Floats:
    """Return the smoothest curves, shape (n, 3), that look like the columns of ``targets``.

    The sum of squared steps between neighbours is least. Solved by alternating between the
    equations and the limit at 0, then exactly for the values that the limit holds at 0.
    """
    count = seen.shape[1]
    steps = np.diff(np.eye(count), axis=0)
    cost: Floats = np.kron(np.eye(_CURVES), steps.T @ steps).astype(np.float64)
    sums = np.tile(np.eye(count), (1, _CURVES))  # each wavelength adds up to 1
    looks = np.kron(np.eye(_CURVES - 1, _CURVES), seen)  # the third follows from the sums
    equations: Floats = np.concatenate([sums, looks]).astype(np.float64)
    wanted = np.concatenate([np.ones(count), targets.T[: _CURVES - 1].ravel()])
    held = _near_the_limit(cost, equations, wanted)
    for _ in range(_ROUNDS):
        values, pushes = _exact(cost, equations, wanted, held)
        below = values < -_EXACT
        if below.any():
            held |= below
        elif pushes.min() < -_EXACT:
            held[np.argmin(pushes)] = False
        else:
            return np.asarray(np.maximum(values, 0.0).reshape(_CURVES, count).T)
    raise AssertionError("the smoothest curves were not found")  # the tables above are constant


def _near_the_limit(cost: Floats, equations: Floats, wanted: Floats) -> NDArray[np.bool_]:
    """Return which values are 0, nearly: by turns the equations are met, and the limit."""
    size = len(cost)
    inverse = np.linalg.inv(_system(cost + _PENALTY * np.eye(size), equations))
    limited, debt = np.full(size, 1.0 / _CURVES), np.zeros(size)
    for _ in range(_ROUNDS):
        free = (inverse @ np.concatenate([_PENALTY * (limited - debt), wanted]))[:size]
        limited = np.maximum(free + debt, 0.0)
        debt += free - limited
    return np.asarray(limited == 0.0)


def _exact(
    cost: Floats, equations: Floats, wanted: Floats, held: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Return the best values with some held at 0, and how hard each of those pushes back."""
    size = len(cost)
    limits = np.eye(size)[held]
    right = np.concatenate([np.zeros(size), wanted, np.zeros(len(limits))])
    system = _system(cost, np.concatenate([equations, limits]))
    found = np.linalg.lstsq(system, right, rcond=None)[0]
    pushes = np.zeros(size)
    pushes[held] = -found[size + len(equations) :]
    return found[:size], pushes


def _system(cost: Floats, equations: Floats) -> Floats:
    rows = len(equations)
    return np.block([[cost, equations.T], [equations, np.zeros((rows, rows))]])
