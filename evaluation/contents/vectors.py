"""Maps of directions and places: normals of many kinds, flow, position, displacement."""

from __future__ import annotations

import numpy as np

from evaluation.contents.content import Content, Floats, Rng, Shape, data
from evaluation.contents.palette import decoded, encoded
from evaluation.contents.surface import Surface, grain
from primecoat.demo.noise import blur, grid


def tangent_vectors(rng: Rng, height: Floats, strength: float) -> Floats:
    """Return unit normals of a relief, x to the right, y up or down the picture."""
    right = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) / 2
    down = (np.roll(height, -1, 0) - np.roll(height, 1, 0)) / 2
    steep = float(np.sqrt(np.mean(right**2 + down**2))) or 1.0
    scale = strength / max(steep, 1e-4)
    up = float(rng.choice((1.0, -1.0)))
    vectors = np.stack((-right * scale, up * down * scale, np.ones_like(height)), axis=-1)
    vectors = vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.asarray(vectors, np.float32)


def normals(rng: Rng, surface: Surface) -> Content:
    """Return a tangent-space normal map of a surface, sound or damaged, in a usual form."""
    strength = 10 ** float(rng.uniform(-1.6, 0.0))
    height = surface.height
    if rng.random() < 0.4:
        height = blur(height, float(rng.uniform(0.5, 2.0)))
    vectors = tangent_vectors(rng, height, strength)
    form = str(
        rng.choice(
            ("unit",) * 12
            + ("averaged",) * 3
            + ("two", "two", "turned", "no_z", "full_z", "swizzled", "grey_swizzled")
        )
    )
    if form == "averaged":  # as in a smaller copy: shorter than 1
        vectors = np.stack([blur(vectors[..., i], rng.uniform(1, 3)) for i in range(3)], axis=-1)
    stored = vectors / 2 + 0.5
    if rng.random() < 0.15:
        stored = stored + rng.normal(0, rng.uniform(0.002, 0.02), stored.shape)
    if rng.random() < 0.1 and form == "unit":  # z over its whole range instead of its upper half
        stored[..., 2] = vectors[..., 2]
    x, y = stored[..., 0], stored[..., 1]
    one, zero = np.ones_like(x), np.zeros_like(x)
    stored = {
        "two": np.stack((x, y), axis=-1),
        "turned": np.stack((y, x), axis=-1),
        "no_z": np.stack((x, y, zero), axis=-1),
        "full_z": np.stack((x, y, one), axis=-1),
        "swizzled": np.stack((one, y, one, x), axis=-1),
        "grey_swizzled": np.stack((y, y, y, x), axis=-1),
    }.get(form, stored)
    stored = np.clip(stored, 0, 1)
    damage = ""
    if form == "unit" and rng.random() < 0.15:
        damage = str(rng.choice(("srgb_encoded", "srgb_decoded")))
        stored = encoded(stored) if damage == "srgb_encoded" else decoded(stored)
    return Content(
        kind="data",
        slot="normal",
        subject="normal",
        pixels=np.ascontiguousarray(stored, np.float32),
        damage=damage,
    )


def _body(rng: Rng, shape: Shape) -> tuple[Floats, Floats, np.ndarray]:
    """Return places on a lumpy body, its normals, and where there is any body."""
    u, v = grid(shape)
    longitude, latitude = u * 2 * np.pi, (v - 0.5) * np.pi
    radius = 1 + 0.15 * grain(rng, shape, 2.4, 2.0)
    way = np.stack(
        (
            np.cos(latitude) * np.cos(longitude),
            np.sin(latitude),
            np.cos(latitude) * np.sin(longitude),
        ),
        axis=-1,
    )
    bent = way + 0.3 * np.stack([grain(rng, shape, 1.8) for _ in range(3)], axis=-1)
    bent = bent / np.linalg.norm(bent, axis=-1, keepdims=True)
    islands = (np.abs(np.sin(3 * longitude)) > 0.12) & (np.abs(latitude) < 1.35)
    return np.asarray(way * radius[..., None], np.float32), np.asarray(bent, np.float32), islands


def object_normals(rng: Rng, shape: Shape) -> Content:
    """Return normals of a whole body, in all directions."""
    _, bent, islands = _body(rng, shape)
    stored = np.where(islands[..., None], bent / 2 + 0.5, float(rng.choice((0.0, 0.5))))
    return data("normal", "object_normal", stored)


def position(rng: Rng, shape: Shape) -> Content:
    """Return where each point of a body is: in its box (0 to 1), or in metres."""
    place, _, islands = _body(rng, shape)
    if rng.random() < 0.5:
        low, high = place.min((0, 1)), place.max((0, 1))
        stored = np.where(islands[..., None], (place - low) / (high - low), 0)
        return data("other_data", "position", stored)
    metres = place * 10 ** float(rng.uniform(-1, 2)) + rng.uniform(-20, 20, 3)
    return data("other_data", "position", np.where(islands[..., None], metres, 0), unbounded=True)


def flow(rng: Rng, shape: Shape) -> Content:
    """Return direction of a stream or of hair, 0.5 for none; blue is empty."""
    stream = grain(rng, shape, 2.6, 2.0)
    x = (np.roll(stream, -1, 0) - np.roll(stream, 1, 0)) / 2
    y = -(np.roll(stream, -1, 1) - np.roll(stream, 1, 1)) / 2
    length = np.hypot(x, y) + 1e-6
    whole = rng.random() < 0.5  # hair and brushing have directions only
    scale = 1 / length if whole else 0.5 / float(np.quantile(length, 0.98)) * np.ones_like(length)
    stored = np.stack((x * scale, y * scale), axis=-1) / 2 + 0.5
    rest = np.full((*shape, 1), float(rng.choice((0.0, 0.5, 1.0))))
    if rng.random() < 0.8:
        stored = np.concatenate((stored, rest), axis=-1)
    return data("other_data", "flow", np.clip(stored, 0, 1))


def displacement(rng: Rng, shape: Shape) -> Content:
    """Return how far each point is moved, in all three directions."""
    moved = np.stack([grain(rng, shape, 2.0) for _ in range(3)], axis=-1)
    moved = moved * rng.uniform(0.02, 0.5) * np.array([0.5, 0.5, 1.0])
    if rng.random() < 0.6:
        return data("other_data", "vector_displacement", moved, unbounded=True)
    return data("other_data", "vector_displacement", np.clip(moved / 2 + 0.5, 0, 1))


def depth(rng: Rng, shape: Shape) -> Content:
    """Return distance to the camera, in metres, or as a part of the greatest."""
    u, v = grid(shape)
    floor = 1.5 / np.clip(v - 0.35, 0.02, 1)
    metres = np.minimum(floor, rng.uniform(20, 80))
    for _ in range(int(rng.integers(1, 7))):
        x, y, size = rng.uniform(0, 1), rng.uniform(0.3, 0.9), rng.uniform(0.05, 0.25)
        inside = np.hypot(u - x, v - y) < size
        away = float(rng.uniform(1, 12))
        bulge = np.sqrt(np.clip(size**2 - (u - x) ** 2 - (v - y) ** 2, 0, None))
        metres = np.where(inside & (away < metres), away - bulge, metres)
    if rng.random() < 0.6:
        return data("other_data", "depth", metres, unbounded=True)
    return data("other_data", "depth", metres / metres.max())
