"""A normal map lit by a fixed light: what a wrong reading or a wrong green does is seen at once."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Green = Literal["up", "down"]

LIGHT = (-0.5, 0.5, 0.7071067811865476)
"""Direction to the light: from the upper left, 45 degrees above the surface; length 1."""

REFLECTANCE = 0.5
"""Of the matt surface, lit with an irradiance of pi, so that a square lit straight on gives it."""


def lit(values: Floats, green: Green = "up", *, signed: bool = False) -> Floats:
    """Return the light that a matt surface with these normals gives back.

    Parameters
    ----------
    values
        Shape (..., 3), or (..., 2) where z is left out and follows from unit length: vectors as
        ``(n + 1) / 2``; glTF 2.0, section 3.9.3, stores them so, with green up.
    green
        Where green points in the picture.
    signed
        Whether the numbers are the vectors themselves, -1 to 1.

    Returns
    -------
    numpy.ndarray
        Shape (...), 0 to :data:`REFLECTANCE`. Vectors are brought to length 1, as renderers do.

    Examples
    --------
    >>> flat = np.array([[0.5, 0.5, 1.0]], np.float32)
    >>> [round(float(v), 4) for v in lit(flat)]
    [0.3536]
    """
    vectors = values.astype(np.float32) if signed else 2 * values - np.float32(1)
    x, y = vectors[..., 0], vectors[..., 1]
    flat = vectors.shape[-1] == 2
    z = np.sqrt(np.maximum(0, 1 - x * x - y * y)) if flat else vectors[..., 2]
    if green == "down":
        y = -y
    length = np.maximum(np.sqrt(x * x + y * y + z * z), np.float32(1e-6))
    facing = (x * LIGHT[0] + y * LIGHT[1] + z * LIGHT[2]) / length
    return np.asarray(REFLECTANCE * np.clip(facing, 0, 1), np.float32)
