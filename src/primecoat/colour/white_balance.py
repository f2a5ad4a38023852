"""White-balance gains of one working space, said in another."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.colour.primaries import Triple
from primecoat.colour.products import (
    Gains,
    Residual,
    best_gains,
    gains_matrix,
    product_residual,
)

Rows = tuple[Triple, Triple, Triple]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedGains:
    """Gains of one linear space, as another can say them.

    Parameters
    ----------
    gains, source, target
        The gains, and Color Interop IDs of the space they belong to and of the new one.
    matrix
        Rows of the 3 by 3 matrix that does the same in the new space, for column vectors.
    best
        The three gains that leave the least over.
    as_colour, as_colour_residual
        The gains converted as a colour is, which keep greys exact, and what they leave over.
    """

    gains: Triple
    source: str
    target: str
    matrix: Rows
    best: Gains
    as_colour: Triple
    as_colour_residual: Residual


def move_gains(
    gains: Triple, source: str, target: str, *, config: str = DEFAULT_CONFIG
) -> MovedGains:
    """Return gains re-expressed in another working space.

    Raises
    ------
    UseError
        If a space is not linear, or a gain is negative or not finite.

    Examples
    --------
    >>> moved = move_gains((1.2, 1.0, 0.8), "lin_rec709_scene", "lin_ap1_scene")
    >>> [round(row[at], 4) for at, row in enumerate(moved.matrix)]
    [1.2093, 0.9916, 0.7991]
    >>> [round(gain, 3) for gain in moved.best.gains]
    [1.099, 1.017, 0.842]
    """
    first, second, third = gains_matrix(gains, source, target, config=config).tolist()
    red, green, blue = convert(gains, source, target, config).tolist()
    return MovedGains(
        gains=gains,
        source=source,
        target=target,
        matrix=(tuple(first), tuple(second), tuple(third)),
        best=best_gains(gains, source, target, config=config),
        as_colour=(red, green, blue),
        as_colour_residual=product_residual(gains, source, target, config=config),
    )
