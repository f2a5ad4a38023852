"""What it costs data, such as normals or roughness, to be read as a colour.

Numbers that should arrive as they are stored are turned into scene-linear light by the config's
own transform, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert

Floats = NDArray[np.float64]

CODE_128: Final = 128 / 255
"""The middle of 8 bits, stored by roughness 0.5 and by the x and y of a flat normal."""

_FLAT = (CODE_128, CODE_128, 1.0)
_GREYS = np.repeat(np.arange(256.0)[:, None] / 255.0, 3, axis=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class DataCost:
    """What data lose.

    Parameters
    ----------
    linear
        The space that the numbers end up in.
    code_128
        What a stored 0.502 (code 128 of 8 bits) arrives as, on all three channels.
    flat_turned
        Degrees by which the normal of a flat surface, codes 128 128 255, is turned; None where the
        picture is no normal map.
    most_turned
        Degrees by which the worst sampled normal is turned; None without pixels.
    most_off
        Greatest change of a number, over the sampled pixels; without pixels over all greys of 8
        bits.
    sampled
        Number of those pixels.
    """

    linear: str
    code_128: float
    most_off: float
    flat_turned: float | None = None
    most_turned: float | None = None
    sampled: int = 0

    @property
    def nothing_changes(self) -> bool:
        """Whether the numbers arrive as stored: less than a tenth of an 8-bit code off."""
        return max(abs(self.code_128 - CODE_128), self.most_off) < 0.1 / 255


def data_cost(
    config: str, linear: str, read: str, pixels: NDArray[np.floating], *, normal: bool
) -> DataCost:
    """Return what data lose when they are read as a colour.

    Parameters
    ----------
    config
        Built-in name or path.
    linear
        The config's scene-linear space.
    read
        Space of the config that they are read as.
    pixels
        The numbers as stored, shape (n, 3), integers scaled to 0 to 1; n may be 0.
    normal
        Whether they are normals. Where one is below 0, all are taken as -1 to 1, else as 0 to 1.

    Raises
    ------
    UseError
        If the config cannot build the transform.

    Examples
    --------
    >>> config = "cg-config-v4.0.0_aces-v2.0_ocio-v2.5"
    >>> round(data_cost(config, "ACEScg", "sRGB - Display", [], normal=False).code_128, 3)
    0.216
    """
    stored = np.asarray(pixels, dtype=np.float64).reshape(-1, 3)
    looked_at = stored if len(stored) else _GREYS
    middle = float(convert((CODE_128,) * 3, read, linear, config).mean())
    flat = convert(_FLAT, read, linear, config)
    arrived = convert(looked_at, read, linear, config)
    off = float(np.abs(arrived - looked_at).max())
    if not normal:
        return DataCost(linear=linear, code_128=middle, most_off=off, sampled=len(stored))
    vectors = arrived[: len(stored)]  # none of the greys
    signed = bool((stored < 0.0).any())
    turned = _turned(stored, vectors) if signed else _turned(2 * stored - 1, 2 * vectors - 1)
    return DataCost(
        linear=linear,
        code_128=middle,
        most_off=off,
        flat_turned=float(_turned(2 * np.array([_FLAT]) - 1, 2 * flat[None] - 1).max()),
        most_turned=float(turned.max()) if len(turned) else None,
        sampled=len(turned),
    )


def _turned(true: NDArray[np.floating], got: NDArray[np.floating]) -> Floats:
    """Return the degrees between vectors, shape (n, 3); those without a direction are left out."""
    one, other = (np.asarray(v, dtype=np.float64) for v in (true, got))
    lengths = np.linalg.norm(one, axis=1) * np.linalg.norm(other, axis=1)
    some = np.isfinite(lengths) & (lengths > 0)
    one, other = one[some], other[some]
    across = np.linalg.norm(np.cross(one, other), axis=1)  # exact for small angles, unlike arccos
    return np.asarray(np.degrees(np.arctan2(across, (one * other).sum(axis=1))))
