"""What a path finds where it meets a triangle: place, frame, and the surface's inputs there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.carried import CHANNELS, Carried, carried
from primecoat.proof.paths.model import Input, Stage, Surface, Tiles
from primecoat.proof.paths.rays import Hits, Triangles
from primecoat.proof.paths.scattering import Matter
from primecoat.scenes.wrapping import REPEATED, Wrap, Wraps

Floats = NDArray[np.float32]
Whole = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Shapes:
    """All triangles of a stage in one list, by corner, with the number of their surface."""

    triangles: Triangles
    corners: Floats  # (m, 3, 3)
    outward: Floats  # (m, 3): of the flat triangle
    normals: Floats  # (m, 3, 3)
    places: Floats  # (m, 3, 2)
    tangents: Floats  # (m, 3, 2): along u and along v
    tints: Floats | None  # (m, 3, 3); None where there are none
    surface: NDArray[np.int32]  # (m,)
    surfaces: tuple[Surface, ...]
    open: tuple[bool, ...]  # of each surface: whether light gets through


@dataclass(frozen=True, slots=True)
class Met:
    """Points that rays met, in the order of the rays."""

    place: Floats  # (n, 3)
    outward: Floats  # (n, 3): flat normal on the side of the ray
    frame: Floats  # (n, 3, 3): rows are tangent, other tangent, normal
    surface: NDArray[np.int32]
    matter: Matter
    opacity: Floats
    emission: Carried | None


def shapes_of(stage: Stage) -> Shapes:
    """Gather the triangles of a stage."""
    surfaces: list[Surface] = []
    corners, normals, places, tints, numbers = [], [], [], [], []
    for mesh in stage.meshes:
        held = mesh.points[mesh.triangles].astype(np.float32)
        flat = np.cross(held[:, 1] - held[:, 0], held[:, 2] - held[:, 0])
        flat /= np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), 1e-20)
        corners.append(held)
        smooth = np.repeat(flat[:, None], 3, axis=1)
        normals.append(smooth if mesh.normals is None else mesh.normals[mesh.triangles])
        none = np.zeros((len(held), 3, 2), np.float32)
        places.append(none if mesh.places is None else mesh.places[mesh.triangles])
        plain = np.ones((len(held), 3, 3), np.float32)
        tints.append(plain if mesh.tints is None else mesh.tints[mesh.triangles])
        numbers.append(np.full(len(held), len(surfaces), np.int32))
        surfaces.append(mesh.surface)
    held = np.concatenate(corners)
    flat = np.cross(held[:, 1] - held[:, 0], held[:, 2] - held[:, 0])
    flat /= np.maximum(np.linalg.norm(flat, axis=1, keepdims=True), 1e-20)
    where = np.concatenate(places).astype(np.float32)
    listed = np.arange(len(held) * 3, dtype=np.int32).reshape(-1, 3)
    return Shapes(
        triangles=Triangles(held.reshape(-1, 3), listed),
        corners=held,
        outward=flat,
        normals=np.concatenate(normals).astype(np.float32),
        places=where,
        tangents=_tangents(held, where),
        tints=None
        if all(mesh.tints is None for mesh in stage.meshes)
        else np.concatenate(tints).astype(np.float32),
        surface=np.concatenate(numbers),
        surfaces=tuple(surfaces),
        open=tuple(s.opacity.picture is not None or s.opacity.factor[0] < 1.0 for s in surfaces),
    )


def met(shapes: Shapes, hits: Hits, ways: Floats) -> Met:
    """Return what rays met; every one of them must have met something."""
    number = hits.triangle
    share = np.stack((1.0 - hits.across - hits.along, hits.across, hits.along), axis=1)
    place = np.einsum("nc,ncx->nx", share, shapes.corners[number])
    uv = np.einsum("nc,ncx->nx", share, shapes.places[number])
    outward = shapes.outward[number]
    back = np.sum(outward * ways, axis=1) > 0.0
    outward = np.where(back[:, None], -outward, outward)
    normal = np.einsum("nc,ncx->nx", share, shapes.normals[number])
    normal = np.where((np.sum(normal * outward, axis=1) < 0.0)[:, None], -normal, normal)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-20)
    surface = shapes.surface[number]
    base = np.empty((len(number), CHANNELS), np.float32)
    metalness, roughness, opacity, gloss, mirrored = (
        np.empty(len(number), np.float32) for _ in range(5)
    )
    emission = None
    for index in np.unique(surface):
        mine = np.flatnonzero(surface == index)
        made = shapes.surfaces[index]
        base[mine] = _colour(made.base_color, uv[mine])
        metalness[mine] = _number(made.metalness, uv[mine])
        roughness[mine] = _number(made.roughness, uv[mine])
        gloss[mine], mirrored[mine] = made.gloss, made.mirrored
        opacity[mine] = opacity_of(made, uv[mine])
        if any(made.emission.factor):
            emission = np.zeros_like(base) if emission is None else emission
            emission[mine] = _colour(made.emission, uv[mine])
        if made.normal is not None:
            along = shapes.tangents[number[mine]]
            stored = looked_up(made.normal, uv[mine], made.normal_tiles, made.normal_wraps)
            normal[mine] = _bent(stored, normal[mine], along)
    if shapes.tints is not None:
        tints = shapes.tints[number]
        tinted = np.flatnonzero((tints != 1.0).any(axis=(1, 2)))
        if len(tinted):
            tint = np.einsum("nc,ncx->nx", share[tinted], tints[tinted])
            base[tinted] *= carried(tint)
    normal = _toward_the_viewer(normal, outward, ways)
    return Met(
        place=place.astype(np.float32),
        outward=outward,
        frame=_frames(normal),
        surface=surface,
        matter=Matter(base, np.clip(metalness, 0, 1), np.clip(roughness, 0, 1), gloss, mirrored),
        opacity=opacity,
        emission=emission,
    )


def looked_up(
    picture: Floats, uv: Floats, tiles: Tiles = (1, 1), wraps: Wraps = REPEATED
) -> Floats:
    """Return a picture between its pixels (bilinear), shape (n, channels).

    Parameters
    ----------
    picture
        Shape (height, width, channels).
    uv
        Places, shape (n, 2), from 0 to 1 across it; v runs down the rows.
    tiles
        As in :class:`primecoat.proof.paths.model.Input`.
    wraps
        What it shows beyond its edges.

    Examples
    --------
    >>> row = np.array([[[1.0], [2.0]]], np.float32)
    >>> beyond = np.array([[1.25, 0.5]], np.float32)
    >>> [float(looked_up(row, beyond, wraps=(w, w))[0, 0]) for w in ("repeat", "clamp", "mirror")]
    [1.0, 2.0, 2.0]
    """
    height, width = picture.shape[:2]
    if tiles != (1, 1):
        wraps = REPEATED
    x = uv[:, 0] / tiles[0] * width - 0.5
    y = (uv[:, 1] + tiles[1] - 1) / tiles[1] * height - 0.5  # rows of tiles stand one on another
    left, top = np.floor(x).astype(np.intp), np.floor(y).astype(np.intp)
    across, down = (x - left)[:, None], (y - top)[:, None]
    columns = [_wrapped(left + step, width, wraps[0]) for step in (0, 1)]
    rows = [_wrapped(top + step, height, wraps[1]) for step in (0, 1)]
    upper, lower = (
        _pixels(picture, row, columns[0], wraps) * (1 - across)
        + _pixels(picture, row, columns[1], wraps) * across
        for row in rows
    )
    return np.asarray(upper * (1 - down) + lower * down, np.float32)


def _wrapped(index: Whole, count: int, wrap: Wrap) -> Whole:
    """Return numbers of pixels for any whole numbers; -1 for nothing."""
    if wrap == "repeat":
        return index % count
    if wrap == "clamp":
        return np.clip(index, 0, count - 1)
    if wrap == "mirror":
        turned = index % (2 * count)
        return np.minimum(turned, 2 * count - 1 - turned)
    return np.where((index >= 0) & (index < count), index, -1)


def _pixels(picture: Floats, row: Whole, column: Whole, wraps: Wraps) -> Floats:
    """Return the pixels at rows and columns; 0 where there are none."""
    found = picture[row, column]
    if "black" in wraps:
        found = np.where(((row >= 0) & (column >= 0))[:, None], found, np.float32(0))
    return found


def _colour(held: Input, uv: Floats) -> Carried:
    """Return a colour as carried: a product of picture and constant is made in each basis."""
    constant = carried(np.array([held.factor], np.float32))
    if held.picture is None:
        return constant
    return carried(looked_up(held.picture, uv, held.tiles, held.wraps)[:, :3]) * constant


def _number(held: Input, uv: Floats) -> Floats:
    factor = np.float32(held.factor[0])
    if held.picture is None:
        return np.full(len(uv), factor, np.float32)
    return looked_up(held.picture, uv, held.tiles, held.wraps)[:, 0] * factor


def opacity_of(surface: Surface, uv: Floats) -> Floats:
    """Return how opaque a surface is at some places of its picture, shape (n,)."""
    return _number(surface.opacity, uv)


def _tangents(corners: Floats, places: Floats) -> Floats:
    """Return the ways along u and along v on each triangle, (m, 2, 3); 0 without places."""
    edge = corners[:, 1:] - corners[:, :1]
    step = places[:, 1:] - places[:, :1]
    area = step[:, 0, 0] * step[:, 1, 1] - step[:, 0, 1] * step[:, 1, 0]
    by = np.where(np.abs(area) > 1e-20, 1.0 / np.where(area == 0.0, 1.0, area), 0.0)[:, None]
    along_u = (edge[:, 0] * step[:, 1, 1:] - edge[:, 1] * step[:, 0, 1:]) * by
    along_v = (edge[:, 1] * step[:, 0, :1] - edge[:, 0] * step[:, 1, :1]) * by
    return np.stack((along_u, along_v), axis=1).astype(np.float32)


def _bent(map_: Floats, normal: Floats, tangents: Floats) -> Floats:
    """Return normals bent by those of a map: red along u, green against the rows (up), blue out."""
    stored = map_[:, :3] * 2.0 - 1.0
    along = tangents[:, 0]
    along = along - np.sum(along * normal, axis=1, keepdims=True) * normal
    length = np.linalg.norm(along, axis=1, keepdims=True)
    along = np.where(length > 1e-12, along / np.maximum(length, 1e-12), 0.0)
    other = np.cross(normal, along)
    turned = np.sum(other * tangents[:, 1], axis=1, keepdims=True) > 0.0  # v runs down the rows
    other = np.where(turned, -other, other)
    bent = stored[:, :1] * along + stored[:, 1:2] * other + stored[:, 2:3] * normal
    return np.asarray(bent / np.maximum(np.linalg.norm(bent, axis=1, keepdims=True), 1e-12))


def _toward_the_viewer(normal: Floats, outward: Floats, ways: Floats) -> Floats:
    """Return normals that face the ray: one bent away from it is set to the edge."""
    facing = -np.sum(normal * ways, axis=1, keepdims=True)
    lifted = normal + np.maximum(0.0, 1e-3 - facing) * -ways
    lifted = np.where(facing < -0.9, outward, lifted)
    return np.asarray(lifted / np.maximum(np.linalg.norm(lifted, axis=1, keepdims=True), 1e-12))


def _frames(normal: Floats) -> Floats:
    """Return a frame for each normal, without a branch.

    Source: T. Duff et al., "Building an Orthonormal Basis, Revisited", Journal of Computer
    Graphics Techniques 6(1), 2017.
    """
    x, y, z = normal.T
    sign = np.where(z < 0.0, -1.0, 1.0)
    a = -1.0 / (sign + z)
    b = x * y * a
    one = np.stack((1.0 + sign * x * x * a, sign * b, -sign * x), axis=1)
    other = np.stack((b, sign + y * y * a, -y), axis=1)
    return np.stack((one, other, normal), axis=1).astype(np.float32)
