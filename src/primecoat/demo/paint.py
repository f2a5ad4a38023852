"""Mixing and masking of painted colours, and their whole-number codes.

Painted colours are stored values, 0 to 1, as an artist picks them on screen: sRGB-encoded.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.demo.noise import Field, blur

Picture = NDArray[np.floating[Any]]
"""Shape (height, width, channels), 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """What a painted surface is made of.

    Parameters
    ----------
    colour
        Shape (height, width, 3), sRGB-encoded, 0 to 1.
    height
        Shape (height, width), 0 (deep) to 1 (high).
    roughness
        Shape (height, width), 0 (mirror) to 1 (matt).
    """

    colour: Picture
    height: Field
    roughness: Field


def hue(code: str) -> Picture:
    """Return the three values, 0 to 1, of a colour picked as six hexadecimal digits.

    Examples
    --------
    >>> [round(float(x), 2) for x in hue("ff8000")]
    [1.0, 0.5, 0.0]
    """
    return np.array(list(bytes.fromhex(code)), dtype=np.float32) / 255


def step(low: float, high: float, field: Field) -> Field:
    """Return 0 below ``low``, 1 above ``high`` and a smooth way between; ``low > high`` falls.

    Examples
    --------
    >>> [float(x) for x in step(1.0, 3.0, np.array([0.0, 2.0, 4.0], dtype=np.float32))]
    [0.0, 0.5, 1.0]
    """
    part = np.clip((field - low) / (high - low), 0, 1)
    return np.asarray(part * part * (3 - 2 * part), dtype=np.float32)


def mix(first: Picture, second: Picture, part: Field | float) -> Picture:
    """Blend two colours or pictures; ``part`` 0 is the first, 1 the second."""
    share = part[..., None] if isinstance(part, np.ndarray) else part
    return np.asarray(first + (second - first) * share, dtype=np.float32)


def shade(colour: Picture, factor: Field) -> Picture:
    """Return a picture made lighter or darker by a factor a pixel."""
    return np.asarray(colour * factor[..., None], dtype=np.float32)


def unit(field: Field) -> Field:
    """Return a field stretched to the range 0 to 1."""
    low, high = field.min(), field.max()
    return np.asarray((field - low) / (high - low), dtype=np.float32)


def cavity(height: Field, radius: float, depth: float) -> Field:
    """Return ambient occlusion guessed from a height field.

    Parameters
    ----------
    height
        0 to 1.
    radius
        Reach of the occlusion in pixels.
    depth
        How dark the deepest places get.

    Returns
    -------
    numpy.ndarray
        1 where open, towards 0 where hidden.
    """
    hidden = np.maximum(blur(height, radius) - height, 0)
    return np.asarray(np.clip(1 - depth * hidden, 0, 1), dtype=np.float32)


def codes8(values: NDArray[np.floating[Any]]) -> NDArray[np.uint8]:
    """Return values of 0 to 1 as 8-bit codes."""
    return np.asarray(np.rint(np.clip(values, 0, 1) * 255), dtype=np.uint8)


def codes16(values: NDArray[np.floating[Any]]) -> NDArray[np.uint16]:
    """Return values of 0 to 1 as 16-bit codes."""
    return np.asarray(np.rint(np.clip(values, 0, 1) * 65535), dtype=np.uint16)


def layers(*fields: Field) -> Picture:
    """Return single-channel fields stacked as the channels of one picture."""
    return np.stack(np.broadcast_arrays(*fields), axis=-1).astype(np.float32)
