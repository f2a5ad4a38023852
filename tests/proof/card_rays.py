"""Which field of the card each ray of its camera meets, in several poses of the picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tests.proof.loaded_card import Card, Floats

WIDTH, HEIGHT = 560, 400
FINER = 2
"""Rays a side of a pixel."""


_POSES = {
    "straight": np.eye(3),
    "rotated": np.array([[0.77, -0.28, 150.0], [0.28, 0.77, -40.0], [0, 0, 1]]),
    "small": np.array([[0.55, 0.0, 60.0], [0.0, 0.55, 150.0], [0, 0, 1]]),
    "perspective": np.array([[0.9, -0.02, 40.0], [0.03, 0.86, 25.0], [8e-5, -6e-5, 1]]),
    "upside_down": np.array([[-0.98, 0.03, 690.0], [-0.03, -0.98, 500.0], [0, 0, 1]]),
    "mirrored": np.array([[-0.95, 0.0, 680.0], [0.0, 0.95, 12.0], [0, 0, 1]]),
}
_SIZE = np.diag([WIDTH / 700, HEIGHT / 500, 1.0])
POSES: dict[str, Floats] = {
    name: _SIZE @ pose @ np.linalg.inv(_SIZE) for name, pose in _POSES.items()
}
"""From pixels of the camera's own picture to pixels of the picture that is handed in."""


@dataclass(frozen=True)
class Met:
    """For each ray the field it meets: four a square, then the environment's three."""

    fields: NDArray[np.int32]
    shape: tuple[int, int]


def trace(card: Card, pose: str) -> Met:
    """Return what the camera sees in a pose."""
    back = np.linalg.inv(POSES[pose])
    step = (np.arange(WIDTH * FINER) + 0.5) / FINER, (np.arange(HEIGHT * FINER) + 0.5) / FINER
    px, py = np.meshgrid(*step)
    full = np.stack((px, py, np.ones_like(px)), axis=-1) @ back.T
    x, y = full[..., 0] / full[..., 2], full[..., 1] / full[..., 2]
    ways = np.stack(
        (
            (2 * x / WIDTH - 1) * card.half_width,
            (1 - 2 * y / HEIGHT) * card.half_height,
            -np.ones_like(x),
        ),
        axis=-1,
    )
    nearest = np.full(x.shape, np.inf)
    found = _sky_fields(ways, 4 * len(card.squares))
    for number, square in enumerate(card.squares):
        window = _window(square.corners, card, POSES[pose])
        if window is None:
            continue
        rays = ways[window]
        origin, u, v = square.corners[0], *(square.corners[n] - square.corners[0] for n in (1, 3))
        normal = np.cross(u, v)
        with np.errstate(divide="ignore", invalid="ignore"):
            far = (origin - card.eye) @ normal / (rays @ normal)
            at = card.eye + far[..., None] * rays - origin
            across, up = at @ u / (u @ u), at @ v / (v @ v)
            hit = (across >= 0) & (across <= 1) & (up >= 0) & (up <= 1) & (far < nearest[window])
        part = np.where(up >= 0.5, 0, 2) + np.where(across >= 0.5, 1, 0)
        found[window] = np.where(hit, 4 * number + part, found[window])
        nearest[window] = np.where(hit, far, nearest[window])
    return Met(found.astype(np.int32), (HEIGHT, WIDTH))


def _sky_fields(ways: Floats, first: int) -> NDArray[np.int64]:
    """Bright, dark and nothing of the environment; -z is at the edges of the picture.

    Source of the orientation, from memory: OpenEXR documentation, "Latitude-Longitude Map".
    """
    unit = ways / np.linalg.norm(ways, axis=-1, keepdims=True)
    behind = -unit[..., 2] > np.cos(np.radians(28.0))
    return np.where(behind, np.where(unit[..., 1] > 0, first, first + 1), first + 2)


def _window(corners: Floats, card: Card, pose: Floats) -> tuple[slice, slice] | None:
    ray = corners - card.eye
    x = (ray[:, 0] / -ray[:, 2] / card.half_width + 1) / 2 * WIDTH
    y = (1 - ray[:, 1] / -ray[:, 2] / card.half_height) / 2 * HEIGHT
    full = np.stack((x, y, np.ones(4)), axis=1) @ pose.T
    pixels = full[:, :2] / full[:, 2:] * FINER
    low = np.maximum(np.floor(pixels.min(axis=0)).astype(int) - 2, 0)
    high = np.ceil(pixels.max(axis=0)).astype(int) + 2
    if (high <= 0).any() or low[0] >= WIDTH * FINER or low[1] >= HEIGHT * FINER:
        return None
    return slice(int(low[1]), int(high[1])), slice(int(low[0]), int(high[0]))
