"""The tone curves inside an ICC profile: ``curv`` and ``para`` elements, sampled."""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

CODES = np.arange(256) / 255.0
"""The 256 codes of an 8-bit picture, 0 to 1: where curves are sampled."""

_PARA_COUNTS = (1, 3, 4, 5, 7)
"""Number of parameters of ``para`` types 0 to 4. Source: ICC.1, parametricCurveType."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SampledCurve:
    """Light at the 256 codes of an 8-bit picture.

    Parameters
    ----------
    light
        Shape (256,), finite; 0 to 1 for a sane curve.
    quantum
        Step in which the profile stores light (0 for a formula).
    """

    light: NDArray[np.float64]
    quantum: float


def sample_curve(element: bytes) -> SampledCurve | None:
    """Sample a ``curv`` or ``para`` element, or return None if it cannot be understood.

    Source: ICC.1 (2001-04 and later), curveType and parametricCurveType.
    """
    kind = element[:4]
    if len(element) < 12 or kind not in (b"curv", b"para"):
        return None
    with np.errstate(all="ignore"):
        curve = _table(element) if kind == b"curv" else _formula(element)
    if curve is None or not np.isfinite(curve.light).all():
        return None
    return curve


def _table(element: bytes) -> SampledCurve | None:
    count = int.from_bytes(element[8:12], "big")
    if len(element) < 12 + 2 * count:
        return None
    if count == 0:
        return SampledCurve(light=CODES, quantum=0.0)
    entries = np.frombuffer(element, dtype=">u2", count=count, offset=12).astype(np.float64)
    if count == 1:
        return SampledCurve(light=CODES ** (entries[0] / 256.0), quantum=0.0)
    light = np.interp(CODES, np.linspace(0.0, 1.0, count), entries / 65535.0)
    return SampledCurve(light=light, quantum=1 / 65535.0)


def _formula(element: bytes) -> SampledCurve | None:
    kind = int.from_bytes(element[8:10], "big")
    if kind >= len(_PARA_COUNTS) or len(element) < 12 + 4 * _PARA_COUNTS[kind]:
        return None
    numbers = struct.unpack_from(f">{_PARA_COUNTS[kind]}i", element, 12)
    g, a, b, c, d, e, f = [*(n / 65536.0 for n in numbers), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0][:7]
    if kind == 0:
        return SampledCurve(light=CODES**g, quantum=0.0)
    power = np.maximum(a * CODES + b, 0.0) ** g
    if kind in (1, 2):
        start = -b / a if a else 0.0
        return SampledCurve(light=np.where(start <= CODES, power, 0.0) + c, quantum=0.0)
    light = np.where(d <= CODES, power + e, c * CODES + f)
    return SampledCurve(light=light, quantum=0.0)
