"""Tangent-space normal maps."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.demo.noise import Field
from primecoat.demo.paint import codes8


def normals_from_height(height: Field, strength: float) -> NDArray[np.floating[Any]]:
    """Return the normals of a tiling height field.

    Parameters
    ----------
    height
        Shape (height, width), 0 to 1.
    strength
        Slope in units of height a pixel is multiplied by this.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 3), unit vectors: x to the right, y up the picture, z out of it.
    """
    right = (np.roll(height, -1, axis=1) - np.roll(height, 1, axis=1)) * (strength / 2)
    down = (np.roll(height, -1, axis=0) - np.roll(height, 1, axis=0)) * (strength / 2)
    vectors = np.stack((-right, down, np.ones_like(height)), axis=-1)
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True), dtype=np.float32)


def normal_codes(normals: NDArray[np.floating[Any]]) -> NDArray[np.uint8]:
    """Return 8-bit codes of unit vectors; straight out of the surface is (128, 128, 255).

    Examples
    --------
    >>> [int(x) for x in normal_codes(np.array([0.0, 0.0, 1.0], dtype=np.float32))]
    [128, 128, 255]
    """
    return codes8((normals + 1) / 2)


def normal_codes_through_curve(normals: NDArray[np.floating[Any]]) -> NDArray[np.uint8]:
    """Return the codes of a normal map that was wrongly saved as a colour picture.

    The values are taken for linear light and sRGB-encoded, which bends every vector.
    """
    return codes8(convert((normals + 1) / 2, "lin_rec709_scene", "srgb_rec709_scene"))
