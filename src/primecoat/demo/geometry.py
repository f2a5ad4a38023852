"""Shapes as triangles: turned, drawn along a path, and flat. Lengths in metres, y up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.floating[Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Triangles with what a shader needs.

    Parameters
    ----------
    positions, normals
        Shape (count, 3); normals have unit length.
    texcoords
        Shape (count, 2); (0, 0) is the upper left corner of a picture.
    indices
        Shape (triangles, 3), counter-clockwise from outside.
    tangents
        Shape (count, 4), the fourth number is the handedness, 1 or -1.
    colours
        Shape (count, 3), linear multipliers of the base colour, 0 to 1.
    """

    positions: Points
    normals: Points
    texcoords: Points
    indices: NDArray[np.uint32]
    tangents: Points | None = None
    colours: Points | None = None


def smooth_path(knots: Points, count: int) -> Points:
    """Return ``count`` points along a Catmull-Rom curve through the knots."""
    ends = np.concatenate((2 * knots[:1] - knots[1:2], knots, 2 * knots[-1:] - knots[-2:-1]))
    place = np.linspace(0, len(knots) - 1, count)
    piece = np.minimum(place.astype(np.int64), len(knots) - 2)
    t = (place - piece)[:, None]
    a, b, c, d = (ends[piece + step] for step in range(4))
    curve = b + t * (
        (c - a) / 2 + t * (a - 2.5 * b + 2 * c - d / 2 + t * (1.5 * (b - c) + (d - a) / 2))
    )
    return np.asarray(curve, dtype=np.float32)


def lathe(profile: Points, *, segments: int = 48, turns: float = 1.0) -> Mesh:
    """Return a turned pot.

    Parameters
    ----------
    profile
        Shape (count, 2), radius and height: from the middle inside up to the rim and down
        outside to the foot. A lid or knob starts at its top.
    segments
        Number of facets round the axis.
    turns
        How often the picture goes round.
    """
    rim = int(np.argmax(profile[:, 1]))
    length = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(profile, axis=0).T))))
    down = np.abs(length - length[rim]) / (length[-1] - length[rim])
    around = np.linspace(0, 1, segments + 1)
    angle = around[None, :] * (2 * np.pi)
    radius, height = profile[:, :1], profile[:, 1:]
    slope = np.gradient(profile, axis=0)
    outward, upward = -slope[:, 1:], slope[:, :1]
    positions = np.stack(
        np.broadcast_arrays(radius * np.cos(angle), height, -radius * np.sin(angle)), -1
    )
    normals = np.stack(
        np.broadcast_arrays(outward * np.cos(angle), upward, -outward * np.sin(angle)), -1
    )
    texcoords = np.stack(np.broadcast_arrays(around[None, :] * turns, down[:, None]), -1)
    return _net(positions, normals, texcoords)


def tube(path: Points, radii: Points, *, sides: int = 20, repeats: float = 2.0) -> Mesh:
    """Return a round bar along a path.

    Parameters
    ----------
    path
        Shape (count, 3); it must not run straight up or down throughout.
    radii
        Shape (count,), metres.
    sides
        Number of facets round the bar.
    repeats
        How often the picture repeats along the bar.
    """
    ahead = _unit(np.gradient(path, axis=0))
    flat = np.cross(path[1] - path[0], path[-1] - path[len(path) // 2])
    sideways = flat if np.linalg.norm(flat) > 1e-9 else np.array([0.0, 0.0, 1.0])
    first = _unit(np.broadcast_to(sideways, path.shape))
    first = _unit(first - ahead * np.sum(first * ahead, axis=1, keepdims=True))
    second = np.cross(ahead, first)
    angle = np.linspace(0, 2 * np.pi, sides + 1)[None, :, None]
    normals = first[:, None] * np.cos(angle) + second[:, None] * np.sin(angle)
    positions = path[:, None] + normals * radii[:, None, None]
    along = np.linspace(0, repeats, len(path))[:, None]
    texcoords = np.stack(np.broadcast_arrays(np.linspace(0, 1, sides + 1)[None, :], along), -1)
    return _net(positions, normals, texcoords)


def sheet(
    size: tuple[float, float],
    lift: Points,
    *,
    repeats: tuple[float, float] = (1.0, 1.0),
) -> Mesh:
    """Return a level sheet, such as a cloth or a floor.

    Parameters
    ----------
    size
        Extent along x and z, metres.
    lift
        Height of its points, shape (rows along z, columns along x), metres.
    repeats
        How often the picture repeats across and down.
    """
    rows, columns = lift.shape
    x, z = np.linspace(-0.5, 0.5, columns), np.linspace(-0.5, 0.5, rows)
    across, deep = np.meshgrid(x * size[0], z * size[1])
    slope_z, slope_x = np.gradient(lift, size[1] / (rows - 1), size[0] / (columns - 1))
    normals = np.stack((-slope_x, np.ones_like(lift), -slope_z), -1)
    u, v = np.meshgrid((x + 0.5) * repeats[0], (z + 0.5) * repeats[1])
    return _net(np.stack((across, lift, deep), -1), normals, np.stack((u, v), -1))


def slab(size: tuple[float, float, float]) -> Mesh:
    """Return a box standing on y = 0; each face shows the whole picture, the top upright."""
    half = np.array([size[0] / 2, size[1], size[2] / 2])
    corners, normals, texcoords = [], [], []
    for normal, right in (
        ((0, 1, 0), (1, 0, 0)),
        ((0, -1, 0), (1, 0, 0)),
        ((0, 0, 1), (1, 0, 0)),
        ((0, 0, -1), (-1, 0, 0)),
        ((1, 0, 0), (0, 0, -1)),
        ((-1, 0, 0), (0, 0, 1)),
    ):
        up = np.cross(normal, right)
        for u, v in ((0, 0), (1, 0), (1, 1), (0, 1)):
            corner = np.array(normal) + (2 * u - 1) * np.array(right) + (1 - 2 * v) * up
            corners.append((corner * [1, 0.5, 1] + [0, 0.5, 0]) * half)
            normals.append(normal)
            texcoords.append((u, v))
    quads = np.arange(24).reshape(6, 4)
    triangles = np.concatenate((quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]))
    return _finished(np.array(corners), np.array(normals), np.array(texcoords), triangles)


def placed(mesh: Mesh, turn: Points, move: tuple[float, float, float]) -> Mesh:
    """Return a mesh turned by a rotation matrix, then moved."""
    return replace(
        mesh,
        positions=(mesh.positions @ turn.T + np.array(move)).astype(np.float32),
        normals=(mesh.normals @ turn.T).astype(np.float32),
    )


def with_tangents(mesh: Mesh) -> Mesh:
    """Return a mesh with tangents, so that green in a normal map is up the picture."""
    corners, places = mesh.positions[mesh.indices], mesh.texcoords[mesh.indices]
    edge, way = corners[:, 1:] - corners[:, :1], places[:, 1:] - places[:, :1]
    area = way[:, 0, 0] * way[:, 1, 1] - way[:, 1, 0] * way[:, 0, 1]
    scale = 1 / np.where(np.abs(area) < 1e-12, 1e-12, area)[:, None]
    right = (edge[:, 0] * way[:, 1, 1:] - edge[:, 1] * way[:, 0, 1:]) * scale
    down = (edge[:, 1] * way[:, 0, :1] - edge[:, 0] * way[:, 1, :1]) * scale
    along, below = np.zeros_like(mesh.positions), np.zeros_like(mesh.positions)
    for corner in range(3):
        np.add.at(along, mesh.indices[:, corner], _unit(right))
        np.add.at(below, mesh.indices[:, corner], _unit(down))
    along = along - mesh.normals * np.sum(along * mesh.normals, axis=1, keepdims=True)
    along = _unit(np.where(np.abs(along).max(axis=1, keepdims=True) < 1e-6, _any_side(mesh), along))
    hand = np.sign(np.sum(np.cross(mesh.normals, along) * -below, axis=1, keepdims=True))
    hand = np.where(hand == 0, 1, hand)
    return replace(mesh, tangents=np.hstack((along, hand)).astype(np.float32))


def _any_side(mesh: Mesh) -> Points:
    """Return some direction at right angles to each normal."""
    axis = np.where(np.abs(mesh.normals[:, :1]) < 0.9, [[1.0, 0, 0]], [[0, 1.0, 0]])
    return np.asarray(np.cross(mesh.normals, axis), dtype=np.float32)


def _unit(vectors: Points) -> Points:
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.asarray(vectors / np.maximum(length, 1e-12), dtype=np.float32)


def _net(positions: Points, normals: Points, texcoords: Points) -> Mesh:
    """Return the mesh of a net of points, shape (rows, columns, ...)."""
    rows, columns = positions.shape[:2]
    at = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]
    triangles = np.concatenate((np.stack((a, b, c), -1), np.stack((a, c, d), -1))).reshape(-1, 3)
    count = rows * columns
    return _finished(
        positions.reshape(count, 3),
        normals.reshape(count, 3),
        texcoords.reshape(count, 2),
        triangles,
    )


def _finished(
    positions: Points, normals: Points, texcoords: Points, triangles: NDArray[np.int64]
) -> Mesh:
    """Return a mesh without flat triangles and with all of them facing as their normals."""
    normals = _unit(normals)
    corners = positions[triangles]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    wrong = np.sum(facing * normals[triangles].sum(axis=1), axis=1) < 0
    triangles = np.where(wrong[:, None], triangles[:, ::-1], triangles)
    return Mesh(
        positions=positions.astype(np.float32),
        normals=normals,
        texcoords=texcoords.astype(np.float32),
        indices=triangles[np.linalg.norm(facing, axis=1) > 1e-12].astype(np.uint32),
    )
