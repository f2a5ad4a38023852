"""How different two colours look on an HDR display: IC_TC_P and the difference ΔE ITP."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.primaries import PRIMARIES, rgb_to_xyz_matrix

Floats = NDArray[np.floating]

_CONES: Final = np.array([[1688, 2146, 262], [683, 2951, 462], [99, 309, 3688]]) / 4096
_OPPONENTS: Final = np.array([[2048, 2048, 0], [6610, -13613, 7003], [17933, -17390, -543]]) / 4096
_FROM_XYZ: Final = _CONES @ np.linalg.inv(rgb_to_xyz_matrix(PRIMARIES["rec2020"]))
_HUNDRED: Final = 100.0 / 10000.0
"""Y = 1 is 100 cd/m², and PQ counts from 10 000."""

_M1, _M2 = 2610 / 16384, 128 * 2523 / 4096
_C2, _C3 = 32 * 2413 / 4096, 32 * 2392 / 4096
"""c1 is c3 - c2 + 1."""
_SCALE: Final = 720.0


def ictcp(xyz: Floats) -> Floats:
    """Return I, C_T, C_P of light on a display, with the PQ curve.

    Source: Recommendation ITU-R BT.2100-2, tables 4 and 7. Cone responses below 0 count as 0.

    Parameters
    ----------
    xyz
        CIE X, Y, Z, shape (..., 3); white D65, Y 1 = 100 cd/m².

    Returns
    -------
    numpy.ndarray
        Same shape and type.

    Examples
    --------
    >>> [abs(round(float(v), 3)) for v in ictcp(np.array([0.950456, 1.0, 1.089058]))]
    [0.508, 0.0, 0.0]
    """
    kind = xyz.dtype
    cones = np.maximum(xyz @ (_HUNDRED * _FROM_XYZ).T.astype(kind), 0)
    raised = cones ** kind.type(_M1)
    # (c1 + c2 y) / (1 + c3 y), less 1: to raise it to a high power in float32 loses nothing so
    below_one = kind.type(_C3 - _C2) * (1 - raised) / (1 + kind.type(_C3) * raised)
    signals = np.exp(kind.type(_M2) * np.log1p(below_one))
    return np.asarray(signals @ _OPPONENTS.T.astype(kind), kind)


def delta_e_itp(one: Floats, other: Floats) -> Floats:
    """Return ΔE ITP of colours given as I, C_T, C_P; shape (...).

    Source: Recommendation ITU-R BT.2124-0. About 1 is what an eye just tells apart under the most
    critical adaptation.

    Examples
    --------
    >>> dark, other = np.array([0.4885, -0.0474, 0.0748]), np.array([0.4899, -0.0457, 0.0736])
    >>> round(float(delta_e_itp(dark, other)), 1)
    1.5
    """
    step = other - one
    intensity, tritan, protan = step[..., 0], step[..., 1] / 2, step[..., 2]
    return np.asarray(_SCALE * np.sqrt(intensity**2 + tritan**2 + protan**2))
