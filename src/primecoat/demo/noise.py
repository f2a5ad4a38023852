"""Noise that tiles: every field goes on without a seam at the edges of the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.floating[Any]]
"""One number a pixel, shape (height, width)."""

Shape = tuple[int, int]
"""Height and width in pixels."""


def grid(shape: Shape) -> tuple[Field, Field]:
    """Return the coordinates of all pixel centres.

    Returns
    -------
    tuple of numpy.ndarray
        ``u`` from left (0) to right (1) and ``v`` from top (0) to bottom (1), both of ``shape``.

    Examples
    --------
    >>> [float(x) for x in grid((1, 2))[0][0]]
    [0.25, 0.75]
    """
    height, width = shape
    u = (np.arange(width, dtype=np.float32) + 0.5) / width
    v = (np.arange(height, dtype=np.float32) + 0.5) / height
    across, down = np.meshgrid(u, v)
    return across.astype(np.float32), down.astype(np.float32)


def cloud(
    shape: Shape,
    seed: int,
    coarsest: float = 3.0,
    slope: float = 2.0,
    stretch: tuple[float, float] = (1.0, 1.0),
) -> Field:
    """Return cloudy noise whose amplitude falls with frequency.

    Parameters
    ----------
    shape
        Height and width in pixels.
    seed
        The same seed gives the same field.
    coarsest
        Size of the largest features, in cycles a picture.
    slope
        How fast the amplitude falls above that; 1 is gritty, 3 is soft.
    stretch
        Factor by which features are longer across and down.

    Returns
    -------
    numpy.ndarray
        Mean 0, standard deviation 1.
    """
    height, width = shape
    white = np.random.default_rng(seed).standard_normal(shape, dtype=np.float32)
    across = np.fft.rfftfreq(width, 1 / width).astype(np.float32) * stretch[0]
    down = np.fft.fftfreq(height, 1 / height).astype(np.float32) * stretch[1]
    squared = across[None, :] ** 2 + down[:, None] ** 2
    amplitude = (coarsest**2 + squared) ** (-slope / 2)
    amplitude[0, 0] = 0.0
    field = np.fft.irfft2(np.fft.rfft2(white) * amplitude, s=shape)
    return np.asarray(field / field.std(), dtype=np.float32)


def blur(field: Field, radius: float) -> Field:
    """Return a field smoothed by a Gaussian that wraps round the edges.

    Parameters
    ----------
    field
        Shape (height, width).
    radius
        Standard deviation in pixels.
    """
    height, width = field.shape
    across = np.exp(-2 * (np.pi * radius * np.fft.rfftfreq(width)) ** 2)
    down = np.exp(-2 * (np.pi * radius * np.fft.fftfreq(height)) ** 2)
    spectrum = np.fft.rfft2(field) * (across[None, :] * down[:, None])
    return np.asarray(np.fft.irfft2(spectrum, s=field.shape), dtype=np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Distances to scattered points.

    Parameters
    ----------
    nearest, second
        Distance to the nearest and to the second nearest point; the mean spacing is 1.
    number
        A random number of the nearest point, 0 to 1.
    """

    nearest: Field
    second: Field
    number: Field

    @property
    def border(self) -> Field:
        """0 on the border between two points' regions, growing away from it."""
        return self.second - self.nearest


def cells(u: Field, v: Field, count: tuple[int, int], seed: int, jitter: float = 0.9) -> Cells:
    """Return the distances to points scattered one in each cell of a grid.

    Parameters
    ----------
    u, v
        Coordinates; they repeat with period 1.
    count
        Number of grid cells across and down.
    seed
        The same seed gives the same points.
    jitter
        0: points in a regular grid, 1: anywhere in their cell.
    """
    across, down = count
    random = np.random.default_rng(seed)
    shift = ((random.random((down, across, 2), dtype=np.float32) - 0.5) * jitter) + 0.5
    numbers = random.random((down, across), dtype=np.float32)
    x, y = u * across, v * down
    column, row = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
    nearest = np.full(u.shape, 9.0, dtype=np.float32)
    second, number = nearest.copy(), np.zeros_like(nearest)
    for step_y in (-1, 0, 1):
        for step_x in (-1, 0, 1):
            other_x, other_y = column + step_x, row + step_y
            place = (other_y % down) * across + other_x % across
            away_x = other_x + shift[..., 0].ravel()[place] - x
            away_y = other_y + shift[..., 1].ravel()[place] - y
            squared = away_x * away_x + away_y * away_y
            closer = squared < nearest
            second = np.where(closer, nearest, np.minimum(second, squared))
            nearest = np.where(closer, squared, nearest)
            number = np.where(closer, numbers.ravel()[place], number)
    return Cells(
        nearest=np.sqrt(nearest, dtype=np.float32),
        second=np.sqrt(second, dtype=np.float32),
        number=number.astype(np.float32),
    )


def sample(field: Field, u: Field, v: Field) -> Field:
    """Look a tiling picture up at any coordinates, bilinearly.

    Parameters
    ----------
    field
        Shape (height, width) or (height, width, channels).
    u, v
        Coordinates of any one shape; they repeat with period 1.

    Returns
    -------
    numpy.ndarray
        Shape of ``u``, with the channels of ``field`` behind.
    """
    height, width = field.shape[:2]
    x, y = u * width - 0.5, v * height - 0.5
    left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
    part_x, part_y = (x - left).astype(np.float32), (y - top).astype(np.float32)
    if field.ndim == 3:
        part_x, part_y = part_x[..., None], part_y[..., None]
    left, right = left % width, (left + 1) % width
    top, bottom = top % height * width, (top + 1) % height * width
    pixels = field.reshape(height * width, *field.shape[2:])
    upper, lower = pixels.take(top + left, 0), pixels.take(bottom + left, 0)
    upper = upper + (pixels.take(top + right, 0) - upper) * part_x
    lower = lower + (pixels.take(bottom + right, 0) - lower) * part_x
    return np.asarray(upper + (lower - upper) * part_y, dtype=np.float32)
