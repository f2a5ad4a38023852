"""Products of two colours, which no conversion of each by itself can keep exact.

A texture times a tint, or a picture times red, green and blue gains, is worked out channel by
channel, and the channels of the new working space are mixtures of the old ones. Only a 3 by 3
matrix can say the same there. Where a program takes three numbers, something is left over; this
module says how much.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.errors import UseError

Floats = NDArray[np.float64]
Triple = tuple[float, float, float]

REFLECTANCES: Final = "20,000 reflectances, uniform in [0, 1] in each linear source channel, seed 0"
"""The set that a residual is stated over, in words to show."""

_COUNT: Final = 20_000
_SEED: Final = 0

_NEGLIGIBLE: Final = 1e-9

_FLOOR: Final = 0.01
"""Errors count against the channel, or against this share of the greatest channel if that is more.
From Rec.709 to AP1 it never acts: no channel there is below 0.015 of the greatest. It keeps the
figure finite where the way leads to a smaller gamut and a channel is 0 or negative."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Residual:
    """What is left over: relative errors of linear channels over :data:`REFLECTANCES`.

    One error a reflectance and channel, all pooled: ``|used - exact| / exact``; 0.01 is 1 %.

    Parameters
    ----------
    median, p95, maximum
        Half, 95 % and all of the errors are no greater. The maximum is that of dark, saturated
        reflectances and grows with the size of the set.
    rms
        Root of the mean square; what :func:`best_gains` makes least.
    """

    median: float
    p95: float
    maximum: float
    rms: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Gains:
    """Three numbers to multiply by in the target space, and what they leave over."""

    gains: Triple
    residual: Residual


def product_residual(
    factor: ArrayLike, source: str, target: str, *, config: str = DEFAULT_CONFIG
) -> Residual:
    """Return what is left over if a tint or gains are converted as a colour.

    Exact is: multiply in the source space, then convert the product. Used is: convert both, then
    multiply. A grey factor leaves nothing over, and neither does any factor on a grey.

    Parameters
    ----------
    factor
        Linear RGB in the source space, shape (3,), not negative, at any scale: it does not change
        the residual.
    source, target
        Color Interop IDs of linear spaces.
    config
        OpenColorIO config that converts.

    Raises
    ------
    UseError
        If a space is not linear, or the factor is not three numbers from 0.

    Examples
    --------
    >>> left = product_residual((1.2, 1.0, 0.8), "lin_rec709_scene", "lin_ap1_scene")
    >>> round(left.median, 3), round(left.p95, 3), round(left.maximum, 2)
    (0.015, 0.097, 0.35)
    """
    check_linear(source, target)
    wanted = _triple(factor)
    return residual_of(
        change_matrix(source, target, config) @ wanted, factor, source, target, config
    )


def residual_of(
    used: ArrayLike, factor: ArrayLike, source: str, target: str, config: str = DEFAULT_CONFIG
) -> Residual:
    """Return what is left over if ``used`` is multiplied in the target in place of ``factor``.

    The other arguments are those of :func:`product_residual`; ``used`` may be of any sign.

    Examples
    --------
    Gains that nobody converted at all:

    >>> gains = (1.2, 1.0, 0.8)
    >>> left = residual_of(gains, gains, "lin_rec709_scene", "lin_ap1_scene")
    >>> round(left.median, 3), round(left.p95, 2), round(left.maximum, 2)
    (0.037, 0.16, 0.45)
    """
    plain, exact, _ = _products(factor, source, target, config)
    return residual_between(plain * np.asarray(used, dtype=np.float64), exact)


def residual_between(used: Floats, exact: Floats) -> Residual:
    """Return how far colours that are used lie from the exact ones.

    Parameters
    ----------
    used, exact
        Linear RGB, shape (count, 3). Rows where one is no finite number are left out.

    Examples
    --------
    >>> residual_between(np.array([[0.5, 1.0, 1.1]]), np.ones((1, 3))).maximum
    0.5
    """
    sound = np.isfinite(used).all(axis=1) & np.isfinite(exact).all(axis=1)
    used, exact = used[sound], exact[sound]
    if not len(exact):
        return Residual(median=0.0, p95=0.0, maximum=0.0, rms=0.0)
    errors, against = np.abs(used - exact), _against(exact)
    black = np.where(errors > _NEGLIGIBLE, 1.0, 0.0)  # light where there should be none: all of it
    shares = np.divide(errors, against, out=black, where=against > 0.0)
    median, p95, maximum = np.quantile(shares, (0.5, 0.95, 1.0)).tolist()
    return Residual(median=median, p95=p95, maximum=maximum, rms=float(np.sqrt((shares**2).mean())))


def gains_matrix(
    gains: ArrayLike, source: str, target: str, *, config: str = DEFAULT_CONFIG
) -> Floats:
    """Return the 3 by 3 matrix that does in the target what gains do in the source, exactly.

    Parameters
    ----------
    gains
        Linear RGB gains, shape (3,), not negative.
    source, target
        Color Interop IDs of linear spaces.
    config
        OpenColorIO config that converts.

    Returns
    -------
    numpy.ndarray
        Shape (3, 3), for column vectors; exact to the float32 of OpenColorIO's matrices.

    Examples
    --------
    >>> gains_matrix((1.2, 1.0, 0.8), "lin_rec709_scene", "lin_ap1_scene").round(4).tolist()
    [[1.2093, -0.075, -0.0211], [0.024, 0.9916, -0.0043], [0.0112, 0.0199, 0.7991]]
    """
    check_linear(source, target)
    change = change_matrix(source, target, config)
    return np.asarray(change * _triple(gains) @ np.linalg.inv(change))


def best_gains(
    gains: ArrayLike, source: str, target: str, *, config: str = DEFAULT_CONFIG
) -> Gains:
    """Return the three gains that leave the least over in the target: least squares.

    Least is the mean square of the relative errors of :class:`Residual`. These gains hold
    saturated colours better than converting the gains as a colour does, and pay with the greys,
    which only :func:`product_residual`'s way keeps exact.

    The arguments are those of :func:`gains_matrix`.

    Examples
    --------
    >>> best = best_gains((1.2, 1.0, 0.8), "lin_rec709_scene", "lin_ap1_scene")
    >>> [round(g, 3) for g in best.gains], round(best.residual.p95, 3)
    ([1.099, 1.017, 0.842], 0.085)
    """
    plain, exact, against = _products(gains, source, target, config)
    zero = np.zeros_like(plain)
    rate = np.divide(plain, against, out=zero.copy(), where=against > 0.0)
    wanted = np.divide(exact, against, out=zero.copy(), where=against > 0.0)
    weight = (rate * rate).sum(axis=0)
    best = np.divide((rate * wanted).sum(axis=0), weight, out=np.zeros(3), where=weight > 0.0)
    red, green, blue = best.tolist()
    found: Triple = (red, green, blue)
    return Gains(gains=found, residual=residual_of(found, gains, source, target, config))


def _products(
    factor: ArrayLike, source: str, target: str, config: str
) -> tuple[Floats, Floats, Floats]:
    """Return reflectances and exact products in the target, and what errors count against."""
    check_linear(source, target)
    change = change_matrix(source, target, config)
    sample = reflectances()
    exact = (sample * _triple(factor)) @ change.T
    return sample @ change.T, exact, _against(exact)


def _against(exact: Floats) -> Floats:
    greatest = np.abs(exact).max(axis=1, keepdims=True)
    return np.asarray(np.maximum(np.abs(exact), _FLOOR * greatest))


def change_matrix(source: str, target: str, config: str) -> Floats:
    """Return a conversion as a matrix: its columns are the converted primaries."""
    return convert(np.eye(3), source, target, config).astype(np.float64).T


@lru_cache(maxsize=4)
def reflectances(seed: int = _SEED) -> Floats:
    """Return :data:`REFLECTANCES`, or as many others by another seed; shape (20000, 3)."""
    values = np.random.default_rng(seed).random((_COUNT, 3))
    values.flags.writeable = False
    return values


def _triple(values: ArrayLike) -> Floats:
    found = np.asarray(values, dtype=np.float64)
    if found.shape != (3,) or not np.isfinite(found).all() or (found < 0.0).any():
        raise UseError(
            f"{found.tolist()} are no gains.", "Give three numbers that are not negative."
        )
    return found


def check_linear(*spaces: str) -> None:
    """Raise :class:`UseError` if a space is not linear."""
    for space in spaces:
        if space not in SPACES or not SPACES[space].linear:
            linear = ", ".join(s.id for s in SPACES.values() if s.linear)
            raise UseError(
                f"{space} is no linear colour space, and only light multiplies.",
                f"Use one of: {linear}.",
            )
