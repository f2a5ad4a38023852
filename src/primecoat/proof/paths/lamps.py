"""What lamps send to a place: their way, their light there, and how far they are.

Lamps with a size are drawn from: one spot of each, evenly over what of it may shine there. They are
not seen themselves: neither the camera nor a path meets them.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.model import Area, Distant, Point

Floats = NDArray[np.float32]
Lamp = Distant | Point | Area

FAR = np.float32(1e30)


def sent(lamp: Lamp, places: Floats, chance: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the way to a lamp, its light, and how far it is.

    Parameters
    ----------
    lamp
        The lamp.
    places
        Shape (n, 3).
    chance
        Two numbers of 0 to 1 for each place, shape (n, 2): the spot of a lamp with a size.

    Returns
    -------
    tuple of numpy.ndarray
        Unit vectors toward the lamp (n, 3); irradiance square to them (n, 3), for a lamp with a
        size that of the spot times all spots; distance (n,).
    """
    if isinstance(lamp, Distant):
        toward = np.broadcast_to(np.array(lamp.toward, np.float32), places.shape)
        light = np.broadcast_to(np.array(lamp.irradiance, np.float32), places.shape)
        return toward, light, np.full(len(places), FAR, np.float32)
    if isinstance(lamp, Area):
        spots, normals, size = _SHAPES[lamp.shape](lamp, places, chance)
        toward, apart = _way(spots - places)
        facing = np.maximum(-np.sum(toward * normals, axis=1), 0.0)
        bright = facing * np.float32(size) / (apart * apart)
        light = np.array(lamp.radiance, np.float32) * bright[:, None]
    else:
        toward, apart = _way(np.array(lamp.place, np.float32) - places)
        bright = _in_cone(lamp, toward) / (apart * apart)
        light = np.array(lamp.intensity, np.float32) * bright[:, None]
    return toward, np.asarray(light, np.float32), apart * np.float32(0.999)


def _way(line: Floats) -> tuple[Floats, Floats]:
    apart = np.maximum(np.linalg.norm(line, axis=1), 1e-6).astype(np.float32)
    return (line / apart[:, None]).astype(np.float32), apart


def _in_cone(lamp: Point, toward: Floats) -> Floats:
    """Return how much of a point's light goes away from ``toward`` it, 0 to 1, shape (n,).

    Sources: KHR_lights_punctual, "Inner and Outer Cone Angles"; UsdLux ShapingAPI,
    ``shaping:cone:softness``.
    """
    if lamp.axis is None:
        return np.ones(len(toward), np.float32)
    facing = -(toward @ np.array(lamp.axis, np.float32))
    if lamp.by_angle:
        inner, outer = np.arccos(lamp.inner), np.arccos(lamp.outer)
        off = np.arccos(np.clip(facing, -1.0, 1.0))
        at = np.clip((off - inner) / max(1e-6, outer - inner), 0.0, 1.0)
        return np.asarray(1.0 - at * at * (3.0 - 2.0 * at), np.float32)
    share = (facing - lamp.outer) / max(0.001, lamp.inner - lamp.outer)
    return np.asarray(np.clip(share, 0.0, 1.0) ** 2, np.float32)


Spots = tuple[Floats, Floats, float]
"""Places on a lamp (n, 3), the ways that they face (n, 3), and the area that they stand for."""


def _on_a_rectangle(lamp: Area, places: Floats, chance: Floats) -> Spots:
    return _on_a_plane(lamp, 2.0 * chance - 1.0, 4.0)


def _on_a_disk(lamp: Area, places: Floats, chance: Floats) -> Spots:
    turn = 2.0 * np.pi * chance[:, 1]
    level = np.sqrt(chance[:, 0])
    at = np.stack((level * np.cos(turn), level * np.sin(turn)), axis=1)
    return _on_a_plane(lamp, np.asarray(at, np.float32), np.pi)


def _on_a_plane(lamp: Area, at: Floats, whole: float) -> Spots:
    axes = np.array((lamp.across, lamp.along), np.float32)
    behind = np.cross(axes[0], axes[1])
    size = float(np.linalg.norm(behind))
    faces = np.broadcast_to(-behind / np.float32(max(size, 1e-30)), (len(at), 3))
    spots = np.asarray(np.array(lamp.place, np.float32) + at @ axes, np.float32)
    return spots, np.asarray(faces, np.float32), whole * size


def _on_a_sphere(lamp: Area, places: Floats, chance: Floats) -> Spots:
    """Draw from the half that faces the place."""
    middle, radius = np.array(lamp.place, np.float32), float(np.linalg.norm(lamp.across))
    ahead, _ = _way(places - middle)
    first = np.cross(ahead, np.where(np.abs(ahead[:, :1]) < 0.6, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(ahead, first)
    turn, high = 2.0 * np.pi * chance[:, 1], chance[:, :1]
    level = np.sqrt(np.maximum(0.0, 1.0 - high * high))
    sideways = np.cos(turn)[:, None] * first + np.sin(turn)[:, None] * second
    faces = (high * ahead + level * sideways).astype(np.float32)
    spots = np.asarray(middle + radius * faces, np.float32)
    return spots, np.asarray(faces, np.float32), 2.0 * np.pi * radius * radius


def _on_a_cylinder(lamp: Area, places: Floats, chance: Floats) -> Spots:
    """Draw from the side; its ends are dark (OpenUSD, ``CylinderLight``)."""
    half, out = np.array(lamp.across, np.float32), np.array(lamp.along, np.float32)
    radius, length = float(np.linalg.norm(out)), 2.0 * float(np.linalg.norm(half))
    other = np.cross(half, out) / np.float32(max(length / 2.0, 1e-30))
    turn = 2.0 * np.pi * chance[:, 1:2]
    away = np.cos(turn) * out + np.sin(turn) * other
    spots = np.array(lamp.place, np.float32) + (2.0 * chance[:, :1] - 1.0) * half + away
    return spots, away / np.float32(max(radius, 1e-30)), 2.0 * np.pi * radius * length


_SHAPES: dict[str, Callable[[Area, Floats, Floats], Spots]] = {
    "rectangle": _on_a_rectangle,
    "disk": _on_a_disk,
    "sphere": _on_a_sphere,
    "cylinder": _on_a_cylinder,
}
