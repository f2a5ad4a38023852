"""Light from all around: looked up by direction, and drawn where it is bright.

Which way a column looks: OpenEXR documentation, "Latitude-Longitude Map", as OpenUSD 26.11 quotes
it for ``DomeLight``: longitude falls from +180 degrees at the left edge to -180 at the right;
longitude 0 is +z, and 90 degrees is +x.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.model import Dome

Floats = NDArray[np.float32]

REC709_Y = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Weights of luminance. Source: Recommendation ITU-R BT.709; rounding them biases nothing here."""


@dataclass(frozen=True, slots=True)
class PreparedDome:
    """A dome with how likely each of its pixels is drawn: running sums by row and by pixel."""

    radiance: Floats
    density: Floats  # by solid angle, (height, width)
    rows: Floats  # running sum over rows, (height,)
    pixels: Floats  # running sums along each row, (height, width)
    power: float  # luminance on a white surface under half of it, on average


def prepared(dome: Dome) -> PreparedDome:
    """Return a dome ready to be drawn from: each pixel by its luminance and solid angle."""
    radiance = np.ascontiguousarray(dome.radiance, np.float32)
    height, width = radiance.shape[:2]
    edges = np.cos(np.linspace(0.0, np.pi, height + 1))
    solid = ((edges[:-1] - edges[1:]) * 2.0 * np.pi / width)[:, None]
    bright = np.maximum(radiance @ REC709_Y, 0.0).astype(np.float64)
    power = (bright + 0.05 * bright.mean() + 1e-12) * solid  # nowhere nothing: all is found
    whole = float(power.sum()) / 4.0
    power /= power.sum()
    rows = np.cumsum(power.sum(axis=1))
    pixels = np.cumsum(power, axis=1) / power.sum(axis=1, keepdims=True)
    return PreparedDome(
        radiance,
        (power / solid).astype(np.float32),
        (rows / rows[-1]).astype(np.float32),
        (pixels / pixels[:, -1:]).astype(np.float32),
        whole,
    )


def arriving(dome: PreparedDome, toward: Floats) -> tuple[Floats, Floats]:
    """Return radiance (n, 3) from unit directions (n, 3), and how likely each is drawn (n,)."""
    row, column = _pixel(dome, toward)
    return dome.radiance[row, column], dome.density[row, column]


def drawn_direction(dome: PreparedDome, chance: Floats) -> Floats:
    """Return directions (n, 3) for two chances of 0 to 1 each, (n, 2)."""
    height, width = dome.density.shape
    row = np.minimum(np.searchsorted(dome.rows, chance[:, 0], side="right"), height - 1)
    below = np.where(row > 0, dome.rows[row - 1], 0.0)
    down = (chance[:, 0] - below) / np.maximum(dome.rows[row] - below, 1e-12)
    flat = (dome.pixels + np.arange(height, dtype=np.float64)[:, None]).ravel()
    found = np.searchsorted(flat, row + chance[:, 1].astype(np.float64), side="right")
    column = np.clip(found - row * width, 0, width - 1)
    left = np.where(column > 0, dome.pixels[row, column - 1], 0.0)
    across = (chance[:, 1] - left) / np.maximum(dome.pixels[row, column] - left, 1e-12)
    cosine = np.cos(np.pi * row / height), np.cos(np.pi * (row + 1) / height)
    up = cosine[0] + (cosine[1] - cosine[0]) * np.clip(down, 0.0, 1.0)
    around = (column + np.clip(across, 0.0, 1.0)) / width * 2.0 * np.pi - np.pi
    level = np.sqrt(np.maximum(0.0, 1.0 - up * up))
    ways = np.stack((-np.sin(around) * level, up, np.cos(around) * level), axis=1)
    return ways.astype(np.float32)


def _pixel(dome: PreparedDome, toward: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    height, width = dome.density.shape
    down = np.arccos(np.clip(toward[:, 1], -1.0, 1.0)) / np.pi
    around = np.arctan2(-toward[:, 0], toward[:, 2]) / (2.0 * np.pi) + 0.5
    row = np.minimum((down * height).astype(np.intp), height - 1)
    return row, np.minimum((around * width).astype(np.intp), width - 1)
