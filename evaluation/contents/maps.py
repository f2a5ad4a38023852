"""The maps of one material: its colour, and the numbers that its other slots take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from evaluation.contents.content import Content, Floats, Rng, Shape, colour, data
from evaluation.contents.surface import Surface, grain, occlusion
from evaluation.contents.vectors import normals
from primecoat.demo.noise import blur, cells, grid
from primecoat.demo.paint import step, unit


def base_color(rng: Rng, surface: Surface) -> Content:
    """Return the reflectance, with some shading left in it, and cut-out where there is one."""
    light = np.ones(surface.shape, np.float32)
    if rng.random() < 0.5:  # photographed: some of the light is still in it
        light = occlusion(surface.height, 3.0, float(rng.uniform(0, 4)))
        light = light * np.exp(rng.uniform(0, 0.15) * grain(rng, surface.shape, 2.6, 1.5))
    painted = surface.reflectance * light[..., None]
    painted = painted * (1 + rng.normal(0, rng.uniform(0, 0.04), painted.shape))
    if rng.random() < 0.3:
        soft = float(rng.uniform(0.4, 1.5))
        painted = np.stack([blur(painted[..., i], soft) for i in range(3)], axis=-1)
    painted = np.clip(painted, 0, 1)
    if surface.opacity is not None and rng.random() < 0.7:
        painted = np.concatenate((painted, surface.opacity[..., None]), axis=-1)
    return colour("base_color", "base_color", painted)


def grey_base_color(rng: Rng, surface: Surface) -> Content:
    """Return the reflectance of something grey, as three equal channels or as one."""
    luma = surface.reflectance @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    grey = np.clip(luma * (1 + rng.normal(0, rng.uniform(0, 0.05), luma.shape)), 0, 1)
    alone = rng.random() < 0.35
    return colour("base_color", "base_color", grey if alone else _tripled(grey))


def _tripled(field: np.ndarray) -> np.ndarray:
    return np.repeat(field[..., None], 3, axis=-1)


def _stored(rng: Rng, field: np.ndarray) -> np.ndarray:
    """Return a field as one channel, or as three equal ones, as programs save it."""
    return _tripled(field) if rng.random() < 0.5 else field


def _levels(rng: Rng, field: Floats) -> Floats:
    """Return a field with its contrast set anew, as an artist does by hand."""
    low, high = sorted(float(x) for x in rng.uniform(0, 1, 2))
    if rng.random() < 0.6:
        return np.clip(field, 0, 1)
    spread = float(np.quantile(field, 0.98) - np.quantile(field, 0.02)) + 1e-3
    return np.clip(low + (high - low) * (field - np.quantile(field, 0.02)) / spread, 0, 1)


def roughness(rng: Rng, surface: Surface) -> Content:
    """Return how matt each place is."""
    return data("roughness", "roughness", _stored(rng, _levels(rng, surface.roughness)))


def glossiness(rng: Rng, surface: Surface) -> Content:
    """Return how shiny each place is."""
    return data("glossiness", "glossiness", _stored(rng, 1 - _levels(rng, surface.roughness)))


def metalness(rng: Rng, surface: Surface) -> Content:
    """Return where there is bare metal."""
    return data("metalness", "metalness", _stored(rng, surface.metalness))


def occlusion_map(rng: Rng, surface: Surface) -> Content:
    """Return how open each place is to light from around."""
    field = occlusion(surface.height, float(rng.uniform(2, 6)), float(rng.uniform(1.5, 8)))
    return data("occlusion", "occlusion", _stored(rng, field))


def height_map(rng: Rng, surface: Surface) -> Content:
    """Return how high each place is: over the whole range, about a middle, or in metres."""
    form = rng.random()
    if form < 0.15:
        metres = (surface.height - 0.5) * float(rng.uniform(0.002, 0.3))
        return data("height", "height", metres, unbounded=True)
    field = surface.height if form < 0.6 else 0.5 + (surface.height - 0.5) * rng.uniform(0.1, 0.8)
    return data("height", "height", _stored(rng, np.asarray(field)))


def opacity_map(rng: Rng, surface: Surface) -> Content:
    """Return where there is something."""
    covered = surface.opacity
    if covered is None:
        u, v = grid(surface.shape)
        holes = cells(u, v, (int(rng.integers(4, 14)),) * 2, int(rng.integers(1 << 31)), 0.3)
        covered = step(0.2, 0.26, holes.nearest)
    return data("opacity", "opacity", _stored(rng, covered))


def mask(rng: Rng, surface: Surface) -> Content:
    """Return where something else goes on: dirt, paint, wetness."""
    start = float(rng.uniform(-1, 1))
    soft = float(rng.choice((0.05, 0.5, 2.0)))
    field = step(start, start + soft, grain(rng, surface.shape, 1.8) + surface.height)
    return data("mask", "mask", _stored(rng, field))


def ids(rng: Rng, surface: Surface) -> Content:
    """Return a flat, distinct colour for each piece."""
    labels = surface.labels
    if float(np.ptp(labels)) == 0:
        u, v = grid(surface.shape)
        labels = cells(u, v, (int(rng.integers(2, 7)),) * 2, int(rng.integers(1 << 31))).number
    pure = np.array([[1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 0], [0, 1, 1], [1, 0, 1], [0, 0, 0]])
    inks = pure if rng.random() < 0.5 else rng.uniform(0, 1, (int(rng.integers(4, 40)), 3))
    flat = inks[(labels * 7919).astype(int) % len(inks)]
    return data("mask", "id", flat)


def curvature(rng: Rng, surface: Surface) -> Content:
    """Return how much each place bends: 0.5 is flat, edges lighter, grooves darker."""
    radius = float(rng.uniform(0.7, 3))
    bend = surface.height - blur(surface.height, radius)
    spread = 4 * float(bend.std()) + 1e-4
    return data("other_data", "curvature", _stored(rng, np.clip(0.5 + bend / spread, 0, 1)))


def thickness(rng: Rng, surface: Surface) -> Content:
    """Return how thick the body is below each place."""
    field = unit(blur(grain(rng, surface.shape, 2.4, 2.0), 2.0))
    low = float(rng.uniform(0, 0.5))
    return data("other_data", "thickness", _stored(rng, low + (1 - low) * field**2))


PACKINGS: dict[str, tuple[str, ...]] = {
    "orm": ("occlusion", "roughness", "metalness"),
    "rma": ("roughness", "metalness", "occlusion"),
    "mra": ("metalness", "roughness", "occlusion"),
    "arm": ("occlusion", "roughness", "metalness"),
    "rm": ("one", "roughness", "metalness"),
    "rm0": ("zero", "roughness", "metalness"),
    "hra": ("height", "roughness", "occlusion"),
    "mask": ("mask", "mask", "mask"),
    "mods": ("metalness", "occlusion", "height", "glossiness"),
    "two": ("roughness", "metalness"),
    "open": ("occlusion", "roughness"),
    "relief": ("height", "mask"),
    "nrm_rough": ("x", "y", "roughness"),
}
"""What the channels of packed maps hold; ``x`` and ``y`` are those of a normal map."""


def packed(rng: Rng, surface: Surface) -> Content:
    """Return several maps in the channels of one picture."""
    name = str(rng.choice([*PACKINGS, "orm", "orm", "arm", "rm", "rm"]))
    flat = {"one": np.ones(surface.shape), "zero": np.zeros(surface.shape)}
    makers: dict[str, Callable[[], Content]] = {
        "occlusion": lambda: occlusion_map(rng, surface),
        "roughness": lambda: roughness(rng, surface),
        "glossiness": lambda: glossiness(rng, surface),
        "metalness": lambda: metalness(rng, surface),
        "height": lambda: height_map(rng, surface),
        "mask": lambda: mask(rng, surface),
    }
    layers = []
    vectors = normals(rng, surface).pixels
    for part in PACKINGS[name]:
        if part in ("x", "y"):
            layers.append(vectors[..., 0 if part == "x" else 1])
        elif part in flat:
            layers.append(flat[part])
        else:
            layers.append(np.clip(makers[part]().pixels[..., 0], 0, 1))
    return data("packed", "packed", np.stack(layers, axis=-1))


def islands(rng: Rng, shape: Shape) -> Floats:
    """Return where the unwrapped pieces of a body lie: 1 on a piece, 0 between them."""
    u, v = grid(shape)
    pieces = np.zeros(shape, np.float32)
    for _ in range(int(rng.integers(3, 16))):
        x, y = rng.uniform(0, 1, 2)
        wide, high = rng.uniform(0.05, 0.3, 2)
        round_ = rng.random() < 0.5
        away = np.hypot((u - x) / wide, (v - y) / high)
        inside = away < 1 if round_ else (np.abs(u - x) < wide) & (np.abs(v - y) < high)
        pieces = np.where(inside, 1, pieces)
    return pieces.astype(np.float32)


def _flat_normal(stored: Floats) -> Floats:
    """Return the undisturbed normal in the form of a stored map: z only where it is kept."""
    constant = np.ptp(stored, axis=(0, 1)) < 1e-6
    rest = np.where(constant, stored[0, 0], 0.5)
    if stored.shape[2] == 3 and not constant[2]:
        rest[2] = 1.0
    return np.asarray(rest)


def unwrapped(rng: Rng, content: Content, pieces: Floats) -> Content:
    """Return a map as it is baked for a body: only its pieces filled, the rest one flat value."""
    channels = content.pixels.shape[2]
    if content.slot == "normal":
        rest = _flat_normal(content.pixels)
    else:
        rest = np.full(channels, float(rng.choice((0.0, 0.0, 0.2, 0.5, 1.0))))
        if content.kind == "colour" and rng.random() < 0.3:
            rest = content.pixels.mean(axis=(0, 1))
    if channels == 4 and content.slot not in ("packed", "normal"):
        rest[3] = content.pixels[0, 0, 3]
    filled = np.where(pieces[..., None] > 0, content.pixels, rest)
    return replace(content, pixels=np.ascontiguousarray(filled, np.float32))
