"""Surfaces of stone, clay and earth."""

from __future__ import annotations

import numpy as np

from evaluation.contents.content import Rng, Shape
from evaluation.contents.palette import near, swatch
from evaluation.contents.surface import Surface, build, grain, shade_pieces
from primecoat.demo.noise import cells, grid
from primecoat.demo.paint import mix, step, unit


def _family(rng: Rng, names: tuple[str, ...], count: int, spread: float = 0.15) -> np.ndarray:
    first = swatch(rng, str(rng.choice(names)))
    return np.array([first, *(near(rng, first, spread) for _ in range(count - 1))])


def bricks(rng: Rng, shape: Shape) -> Surface:
    """Return courses of bricks or tiles with joints."""
    u, v = grid(shape)
    rows = int(rng.integers(3, 12))
    across = max(1, int(rows * rng.choice((0.5, 1.0, 1.0))))
    course = np.floor(v * rows)
    x = u * across + (course % 2) * rng.choice((0.0, 0.5, 0.33))
    number = (np.sin((np.floor(x) % across) * 12.9898 + course * 78.233) * 43758.5453) % 1
    edge = np.maximum(np.abs(x % 1 - 0.5) - 0.5 * (1 - rows / across), np.abs(v * rows % 1 - 0.5))
    width = float(rng.uniform(0.02, 0.09))
    face = step(0.5, 0.5 - width, edge.astype(np.float32))
    bits = _family(rng, ("earth", "stone", "dye", "pastel"), 5, float(rng.uniform(0.05, 0.3)))
    noise = grain(rng, shape, float(rng.uniform(1.0, 1.8)))
    painted = shade_pieces(rng, number, bits, 0.15) * np.exp(0.12 * noise)[..., None]
    joint = swatch(rng, "stone") * np.exp(0.1 * noise)[..., None]
    glazed = rng.random() < 0.4
    rough = mix_field(0.9, float(rng.uniform(0.08, 0.35)) if glazed else 0.75, face)
    height = face + (0.02 if glazed else 0.12) * noise + 0.1 * number * face
    name = "tiles" if glazed else "bricks"
    return build(
        name, height, mix(joint, painted, face), rough + 0.04 * noise, labels=number * face
    )


def mix_field(low: float, high: float, part: np.ndarray) -> np.ndarray:
    """Return ``low`` where the part is 0 and ``high`` where it is 1."""
    return low + (high - low) * part


def pebbles(rng: Rng, shape: Shape) -> Surface:
    """Return rounded stones or chips in a bed: gravel, cobbles, terrazzo when ground flat."""
    u, v = grid(shape)
    count = int(rng.integers(5, 22))
    found = cells(u, v, (count, max(3, count * shape[0] // shape[1])), int(rng.integers(1 << 31)))
    ground = rng.random() < 0.4
    stone = step(0.03, 0.12 if ground else 0.5, found.border)
    bits = np.array([swatch(rng, str(rng.choice(("stone", "earth", "pastel")))) for _ in range(5)])
    noise = grain(rng, shape, 1.2)
    painted = shade_pieces(rng, found.number, bits, 0.3) * np.exp(0.1 * noise)[..., None]
    bed = near(rng, swatch(rng, "stone"), 0.2)
    rough = float(rng.uniform(0.1, 0.4)) if ground else float(rng.uniform(0.5, 0.9))
    height = 0.02 * noise if ground else stone + 0.08 * noise
    return build(
        "terrazzo" if ground else "pebbles",
        height,
        mix(np.broadcast_to(bed, painted.shape), painted, stone),
        mix_field(min(1.0, rough + 0.3), rough, stone) + 0.05 * noise,
        labels=found.number * (stone > 0.5),
    )


def plaster(rng: Rng, shape: Shape) -> Surface:
    """Return plaster, concrete or paint on a wall: nearly one tone, often grey."""
    noise, fine = grain(rng, shape, float(rng.uniform(1.2, 2.6)), 2.0), grain(rng, shape, 0.7)
    base = swatch(rng, str(rng.choice(("neutral", "neutral", "stone", "pastel"))))
    spread = float(rng.uniform(0.02, 0.25))
    holes = (fine > rng.uniform(2.2, 3.5)).astype(np.float32)
    light = np.exp(spread * noise + 0.3 * spread * fine) * (1 - 0.5 * holes)
    height = 0.5 * noise + 0.3 * fine - 3 * holes
    rough = float(rng.uniform(0.55, 0.95)) + 0.06 * noise
    return build("plaster", height, base * light[..., None], rough)


def soil(rng: Rng, shape: Shape) -> Surface:
    """Return soil or sand, with stones, moss or dead leaves on it."""
    coarse, fine = grain(rng, shape, 1.8), grain(rng, shape, 0.9, 12.0)
    ground = swatch(rng, "earth") * np.exp(0.35 * coarse + 0.25 * fine)[..., None] * 0.7
    growth = step(0.2, 1.2, coarse + 0.5 * fine) * float(rng.choice((0.0, 0.6, 1.0)))
    green = swatch(rng, "leaf") * np.exp(0.3 * fine)[..., None]
    rough = 0.9 - 0.2 * growth + 0.04 * fine
    return build(
        "soil", coarse + 0.4 * fine, mix(ground, green, growth), rough, labels=growth > 0.5
    )


def marble(rng: Rng, shape: Shape) -> Surface:
    """Return polished stone with veins."""
    bend, more = grain(rng, shape, 2.2, 2.0), grain(rng, shape, 1.6)
    u, v = grid(shape)
    waves = int(rng.integers(1, 5))
    veins = np.abs(np.sin(np.pi * (waves * u + waves * v + 0.6 * bend + 0.1 * more)))
    vein = np.asarray(step(0.35, 0.0, veins.astype(np.float32)))
    body = swatch(rng, str(rng.choice(("pastel", "stone", "dark"))))
    tint = swatch(rng, str(rng.choice(("earth", "stone", "dark"))))
    painted = mix(body * np.exp(0.05 * more)[..., None], np.broadcast_to(tint, (*shape, 3)), vein)
    return build("marble", more * 0.01, painted, float(rng.uniform(0.05, 0.3)) + 0.1 * vein)


def glaze(rng: Rng, shape: Shape) -> Surface:
    """Return a fired glaze: pools of colour, crackle, specks."""
    u, v = grid(shape)
    flow, fine = grain(rng, shape, 2.4, 2.0), grain(rng, shape, 1.2)
    thick, thin = swatch(rng, "dye"), swatch(rng, str(rng.choice(("earth", "pastel", "dye"))))
    body = mix(np.broadcast_to(thin, (*shape, 3)), np.broadcast_to(thick, (*shape, 3)), unit(flow))
    crack = cells(u, v, (14, 14), int(rng.integers(1 << 31))).border
    lines = step(0.06, 0.0, crack) * float(rng.choice((0.0, 0.5)))
    painted = body * np.exp(0.04 * fine)[..., None] * (1 - 0.7 * lines[..., None])
    return build("glaze", flow - lines, painted, 0.12 + 0.06 * unit(fine) + 0.3 * lines)
