"""How a light is turned so that it comes from a direction."""

from __future__ import annotations

import numpy as np


def turn_to(tilt: float, azimuth: float) -> tuple[float, float, float, float]:
    """Return the unit quaternion x, y, z, w that turns +z to a direction.

    Parameters
    ----------
    tilt, azimuth
        Degrees, as in :func:`primecoat.proof.card.layout.direction`.

    Examples
    --------
    >>> [round(v, 6) + 0.0 for v in turn_to(90, 0)]
    [0.0, 0.707107, 0.0, 0.707107]
    """
    half, towards = np.radians(tilt) / 2, np.radians(azimuth)
    sine = float(np.sin(half))
    return (-sine * float(np.sin(towards)), sine * float(np.cos(towards)), 0.0, float(np.cos(half)))
