"""Pictures of lit things: scenes with objects, shaded spheres, skies, rooms."""

from __future__ import annotations

import numpy as np

from evaluation.contents.content import Content, Floats, Rng, Shape, colour
from evaluation.contents.palette import swatch
from evaluation.contents.surface import grain
from primecoat.demo.noise import Field, grid
from primecoat.demo.paint import mix, step

SUN = np.array([1.0, 0.93, 0.82])
"""Tint of direct sunlight against skylight (only the look depends on it)."""


def sky_light(rng: Rng, u: Field, v: Field) -> Floats:
    """Return the radiance of a sky seen in all directions; v = 0 is the zenith, 0.5 the horizon."""
    high, low = np.array([0.12, 0.25, 0.6]), np.array([0.55, 0.65, 0.8])
    if rng.random() < 0.3:  # evening
        low = np.array([1.0, 0.5, 0.25])
    rise = np.clip(v * 2, 0, 1) ** float(rng.uniform(1.0, 3.0))
    clear = high + (low - high) * rise[..., None]
    cloud = grain(rng, u.shape, 2.0, 2.0)
    start = float(rng.uniform(-0.8, 1.5))
    cover = step(start, start + 1.0, cloud)
    return mix(clear, np.array([0.9, 0.9, 0.92]) * np.exp(0.15 * cloud)[..., None], cover)


def panorama(rng: Rng, shape: Shape) -> Floats:
    """Return the light of a place from all directions, linear: a sky with a sun, or a room."""
    u, v = grid(shape)
    if rng.random() < 0.6:
        light = sky_light(rng, u, v)
        ground = swatch(rng, str(rng.choice(("earth", "leaf", "stone"))))
        line = 0.5 + 0.03 * np.sin(u * 2 * np.pi * int(rng.integers(1, 6)) + rng.uniform(0, 6))
        below = step(0.0, 0.01, (v - line).astype(np.float32))
        texture = np.exp(0.5 * grain(rng, shape, 1.3))[..., None]
        light = mix(light, ground * 0.4 * texture, below)
        if rng.random() < 0.7:
            away = np.hypot((u - rng.uniform(0.1, 0.9)) * 2, v - rng.uniform(0.1, 0.45))
            power = 10 ** float(rng.uniform(1.5, 4.5))
            disc = step(0.016, 0.01, away.astype(np.float32)) * power
            glow = np.exp(-away / 0.05) * min(8.0, power * 0.05)
            light = light + SUN * (disc + glow)[..., None]
        return np.asarray(light * 10 ** rng.uniform(-0.4, 0.5), np.float32)
    wall = swatch(rng, str(rng.choice(("pastel", "stone", "earth"))))
    near_floor = step(0.6, 0.65, v)
    walls = mix(
        np.broadcast_to(wall, (*shape, 3)), np.broadcast_to(wall * 0.3, (*shape, 3)), near_floor
    )
    light = walls * (0.3 + 0.5 * np.abs(np.cos(u * 4 * np.pi)))[..., None]
    light = light * np.exp(0.1 * grain(rng, shape, 1.5))[..., None]
    for _ in range(int(rng.integers(1, 5))):
        x, y, wide = rng.uniform(0, 0.9), rng.uniform(0.05, 0.45), rng.uniform(0.02, 0.12)
        lamp = (np.abs(u - x) < wide) & (np.abs(v - y) < wide * 0.7)
        tint = np.array([1.0, rng.uniform(0.6, 1.0), rng.uniform(0.35, 1.1)])
        light = np.where(lamp[..., None], tint * 10 ** float(rng.uniform(0.5, 2.2)), light)
    return np.asarray(light, np.float32)


def scene(rng: Rng, shape: Shape) -> Floats:
    """Return linear light of a floor, a wall or sky and some objects, as a camera sees it."""
    u, v = grid(shape)
    horizon = float(rng.uniform(0.25, 0.65))
    if rng.random() < 0.5:
        back = sky_light(rng, u, (v / max(horizon, 0.01) * 0.5).astype(np.float32))
    else:
        back = swatch(rng, "pastel") * np.exp(0.08 * grain(rng, shape, 2.0))[..., None]
    floor = swatch(rng, str(rng.choice(("earth", "stone", "leaf"))))
    depth = np.clip((v - horizon) / (1 - horizon), 0.02, 1)
    stripes = np.sin(20 * (u - 0.5) / depth) * np.sin(12 / depth)
    ground = floor * np.exp(0.2 * grain(rng, shape, 1.2) + 0.15 * stripes)[..., None]
    light = mix(back, ground, step(0.0, 0.01, (v - horizon).astype(np.float32)))
    sun = _unit(np.array([rng.uniform(-1, 1), -rng.uniform(0.4, 1), rng.uniform(0.3, 1)]))
    for _ in range(int(rng.integers(1, 8))):
        centre, size = rng.uniform(0.1, 0.9, 2), float(rng.uniform(0.05, 0.28))
        dye = swatch(rng, str(rng.choice(("dye", "earth", "pastel", "neutral"))))
        shadow = np.hypot(
            (u - centre[0] - 0.3 * size) / size, (v - centre[1] - size) / (size * 0.3)
        )
        light = light * (1 - 0.6 * step(1.1, 0.7, shadow.astype(np.float32)))[..., None]
        x, y = (u - centre[0]) / size, (v - centre[1]) / size
        inside = x * x + y * y < 1 if rng.random() < 0.6 else (np.abs(x) < 0.8) & (np.abs(y) < 1)
        z = np.sqrt(np.clip(1 - x * x - y * y, 0, 1))
        lit = 0.25 + 0.9 * np.clip(x * sun[0] + y * sun[1] + z * sun[2], 0, 1)
        shine = np.clip(x * sun[0] + y * sun[1] + z * (sun[2] + 1) / 1.5, 0, 1) ** 40
        thing = dye * lit[..., None] + SUN * (shine * float(rng.choice((0.0, 0.8))))[..., None]
        light = np.where(inside[..., None], thing, light)
    return np.asarray(np.clip(light * rng.uniform(0.5, 1.4), 0, None), np.float32)


def _unit(vector: np.ndarray) -> np.ndarray:
    return np.asarray(vector / np.linalg.norm(vector))


def exposed(rng: Rng, light: Floats) -> Floats:
    """Return light as a camera gives it: exposed, noisy, a little soft, white where it is full."""
    scale = float(rng.uniform(0.5, 0.95)) / max(1e-3, float(np.quantile(light, 0.97)))
    seen = light * min(scale, 4.0)
    if rng.random() < 0.5:  # highlights are rolled off
        seen = seen / (1 + np.clip(seen - 0.7, 0, None))
    noise = rng.normal(size=light.shape) * np.sqrt(np.clip(seen, 0.002, 1)) * rng.uniform(0, 0.03)
    return np.asarray(np.clip(seen + noise, 0, 1), np.float32)


def photograph(rng: Rng, shape: Shape) -> Content:
    """Return a photograph of things, as decal, poster or texture."""
    subject = str(rng.choice(("base_color", "picture")))
    return colour("base_color", subject, exposed(rng, scene(rng, shape)))


def backplate(rng: Rng, shape: Shape) -> Content:
    """Return a photograph to stand behind a scene."""
    return colour("backplate", "backplate", exposed(rng, scene(rng, shape)))


def monochrome(rng: Rng, shape: Shape) -> Content:
    """Return a black-and-white photograph, in one channel or three equal ones."""
    tones = _grey_tones(rng, exposed(rng, scene(rng, shape)))
    slot = str(rng.choice(("base_color", "backplate")))
    subject = slot if slot == "backplate" else str(rng.choice(("base_color", "picture")))
    alone = rng.random() < 0.7
    return colour(slot, subject, tones if alone else np.repeat(tones[..., None], 3, axis=-1))


def grey_cutout(rng: Rng, shape: Shape) -> Content:
    """Return a black-and-white photograph of a thing, transparent around it."""
    u, v = grid(shape)
    tones = _grey_tones(rng, exposed(rng, scene(rng, shape)))
    x, y = rng.uniform(0.4, 0.6, 2)
    wide, high = rng.uniform(0.15, 0.55, 2)
    away = np.hypot((u - x) / wide, (v - y) / high) + 0.1 * grain(rng, shape, 1.8)
    soft = float(rng.choice((0.02, 0.3, 1.0)))
    covered = step(1.0 + soft, 1.0, away.astype(np.float32))
    return colour("base_color", "picture", np.stack((tones, covered), axis=-1))


def _grey_tones(rng: Rng, seen: Floats) -> Floats:
    """Return one channel of three, as film or a filter weighs them, with a contrast of its own."""
    weights = rng.dirichlet((2.0, 4.0, 1.0))
    return np.asarray(np.clip(seen @ weights, 0, 1) ** rng.uniform(0.7, 1.5), np.float32)


def high_range_backplate(rng: Rng, shape: Shape) -> Content:
    """Return scene light behind a scene, with highlights above 1."""
    return colour("backplate", "backplate", scene(rng, shape) * 3, unbounded=True)


def environment(rng: Rng, shape: Shape) -> Content:
    """Return light from all around, with its full range."""
    wide = (shape[0], 2 * shape[0])
    return colour("environment", "environment", panorama(rng, wide), unbounded=True)


def low_range_environment(rng: Rng, shape: Shape) -> Content:
    """Return light from all around, as a display shows it."""
    wide = (shape[0], 2 * shape[0])
    return colour("environment", "environment", exposed(rng, panorama(rng, wide)))


def shaded_sphere(rng: Rng, shape: Shape) -> Content:
    """Return a sphere that shows how a material looks under one light for every direction."""
    size = max(shape)
    u, v = grid((size, size))
    x, y = u * 2.04 - 1.02, v * 2.04 - 1.02
    z = np.sqrt(np.clip(1 - x * x - y * y, 0, 1))
    base = swatch(rng, str(rng.choice(("dye", "pastel", "dark", "neutral", "stone"))))
    light = base * 0.1 * (1 + z)[..., None]
    for _ in range(int(rng.integers(1, 5))):
        way = _unit(rng.normal(size=3) + np.array([0, -0.6, 0.7]))
        facing = np.clip(x * way[0] + y * way[1] + z * way[2], 0, 1)
        half = _unit(way + np.array([0, 0, 1.0]))
        shine = np.clip(x * half[0] + y * half[1] + z * half[2], 0, 1) ** rng.uniform(4, 300)
        tint = np.clip(1 + rng.normal(0, 0.25, 3), 0.2, 1.8)
        light = light + base * tint * facing[..., None] * 0.6
        light = light + tint * shine[..., None] * float(rng.uniform(0, 0.9))
    edge = (1 - z) ** 4
    light = light + np.clip(1 + rng.normal(0, 0.3, 3), 0, 2) * edge[..., None] * rng.uniform(0, 0.5)
    outside = float(rng.choice((0.0, 0.0, 0.2, 1.0)))
    inside = (x * x + y * y < 1.0)[..., None]
    return colour("other_color", "matcap", np.clip(np.where(inside, light, outside), 0, 1))
