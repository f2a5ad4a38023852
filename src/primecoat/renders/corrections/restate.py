"""A gain of one linear space, as another can say it: exactly by nine numbers, nearly by three."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from primecoat.colour.ids import SPACES
from primecoat.colour.primaries import Triple
from primecoat.colour.products import (
    Residual,
    change_matrix,
    reflectances,
    residual_between,
)
from primecoat.colour.white_balance import Rows, move_gains
from primecoat.renders.corrections.kinds import Gain
from primecoat.renders.corrections.model import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Restated:
    """A gain in the new working space.

    Parameters
    ----------
    space
        Color Interop ID of the new space.
    matrix
        Rows of the 3 by 3 matrix that does exactly the same there, for column vectors.
    gains, residual
        The three gains that leave the least over, and what they leave.
    stops
        Exposure, if it is nothing else; the same in every space.
    """

    space: str
    matrix: Rows
    gains: Triple
    residual: Residual
    stops: float | None


def restate(gain: Gain | None, matrix: Floats, source: str, target: str, config: str) -> Restated:
    """Return a gain re-expressed in another linear space.

    Parameters
    ----------
    gain
        What the gain is; None for a product of several.
    matrix
        What it does to linear RGB of ``source``, shape (3, 3).
    source, target
        Color Interop IDs of linear spaces.
    config
        OpenColorIO config that converts.
    """
    if gain is not None and gain.factors is not None and gain.among in SPACES:
        moved = move_gains(gain.factors, gain.among, target, config=config)
        stops = float(np.log2(np.mean(gain.factors))) if gain.kind == "exposure" else None
        return Restated(
            space=target,
            matrix=moved.matrix,
            gains=moved.best.gains,
            residual=moved.best.residual,
            stops=0.0 if gain.kind == "nothing" else stops,
        )
    change = change_matrix(source, target, config)
    colours = reflectances()
    plain, exact = colours @ change.T, (colours @ matrix.T) @ change.T
    against = np.abs(exact)
    weight = 1.0 / np.maximum(against, 0.01 * against.max(axis=1, keepdims=True))
    best = (plain * exact * weight**2).sum(axis=0) / ((plain * weight) ** 2).sum(axis=0)
    red, green, blue = best.tolist()
    first, second, third = (change @ matrix @ np.linalg.inv(change)).tolist()
    return Restated(
        space=target,
        matrix=(tuple(first), tuple(second), tuple(third)),
        gains=(red, green, blue),
        residual=residual_between(plain * best, exact),
        stops=None,
    )
