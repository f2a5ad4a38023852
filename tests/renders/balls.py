"""Small ray-lit renders: three glazed balls on a table before a bright sky, light up to 8."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.oiio import write_pixels

Light = NDArray[np.float32]

_BALLS = (
    (0.45, 0.5, 0.2, (0.8, 0.25, 0.1)),
    (1.0, 0.55, 0.25, (0.05, 0.35, 0.12)),
    (1.4, 0.5, 0.18, (0.06, 0.1, 0.7)),
)


def balls(width: int = 256, height: int = 160) -> Light:
    """Return the light of the scene without noise."""
    down, across = np.mgrid[0:height, 0:width].astype(np.float32) / np.float32(height)
    light = (0.2 + 0.9 * (1 - down))[..., None] * np.array([0.6, 0.8, 1.1], np.float32)
    light[down > 0.6] = (0.18, 0.16, 0.14)
    for left, top, radius, colour in _BALLS:
        x, y = (across - left) / radius, (down - top) / radius
        depth = np.sqrt(np.clip(1 - x * x - y * y, 0, 1))
        lit = np.clip(-0.5 * x - 0.6 * y + 0.62 * depth, 0, 1)
        shine = 8 * np.clip(-0.3 * x - 0.4 * y + 0.87 * depth, 0, 1) ** 60
        ball = lit[..., None] * np.array(colour, np.float32) * 1.5 + shine[..., None] + 0.01
        light = np.where((depth > 0)[..., None], ball, light)
    return np.asarray(light, np.float32)


def noisy(light: Light, seed: int, share: float = 0.01) -> Light:
    """Return light with noise that is a share of it, as renders have."""
    noise = np.random.default_rng(seed).normal(0, share, light.shape)
    return (light * (1 + noise)).astype(np.float32)


def written(path: Path, pixels: NDArray[Any], space: str = "", **attributes: Any) -> Path:
    """Write a picture; an OpenEXR file states its space if one is given."""
    if space:
        attributes["colorInteropID"] = space
    write_pixels(path, pixels, attributes=attributes)
    return path
