"""Surfaces of wood, cloth, metal and leaves."""

from __future__ import annotations

import numpy as np

from evaluation.contents.content import Rng, Shape
from evaluation.contents.mineral import mix_field
from evaluation.contents.palette import METALS, near, swatch
from evaluation.contents.surface import Surface, build, grain, shade_pieces
from primecoat.demo.noise import cloud, grid
from primecoat.demo.paint import mix, step, unit


def planks(rng: Rng, shape: Shape) -> Surface:
    """Return boards of wood, or one board, with grain along them."""
    u, _ = grid(shape)
    boards = int(rng.choice((1, 3, 4, 6, 8)))
    board = np.floor(u * boards)
    number = (np.sin(board * 12.9898 + float(rng.uniform(0, 9))) * 43758.5453) % 1
    seed = int(rng.integers(1 << 31))
    fibre = cloud(shape, seed, 6.0, 1.3, (1.0, float(rng.uniform(6, 25))))
    rings = np.sin((u * boards * rng.uniform(2, 7) + number * 5 + 0.35 * fibre) * 2 * np.pi)
    edge = np.abs(u * boards % 1 - 0.5)
    seam = step(0.5, 0.475, edge.astype(np.float32)) if boards > 1 else np.ones(shape, np.float32)
    first = swatch(rng, "earth")
    bits = np.array([first, *(near(rng, first, 0.15) for _ in range(3))])
    light = np.exp(0.12 * fibre + 0.15 * rings) * mix_field(0.25, 1.0, seam)
    painted = shade_pieces(rng, number, bits, 0.15) * light[..., None]
    rough = float(rng.uniform(0.25, 0.7)) + 0.08 * fibre - 0.05 * rings
    return build("planks", seam + 0.08 * fibre, painted, rough, labels=number)


def weave(rng: Rng, shape: Shape) -> Surface:
    """Return cloth: threads over and under, dyed in one colour, stripes or checks."""
    u, v = grid(shape)
    threads = int(rng.integers(8, 40))
    warp, weft = np.sin(u * threads * 2 * np.pi), np.sin(v * threads * 2 * np.pi)
    over = np.where((np.floor(u * threads) + np.floor(v * threads)) % 2 < 1, warp**2, weft**2)
    noise = grain(rng, shape, 1.5)
    bands = int(rng.integers(2, 9))
    stripe = (np.floor(u * bands) % 2) if rng.random() < 0.5 else np.zeros(shape)
    if rng.random() < 0.3:
        stripe = (stripe + np.floor(v * bands)) % 2
    one, two = swatch(rng, str(rng.choice(("dye", "pastel", "dark")))), swatch(rng, "pastel")
    dyed = mix(np.broadcast_to(one, (*shape, 3)), np.broadcast_to(two, (*shape, 3)), stripe)
    light = (0.55 + 0.45 * over) * np.exp(0.08 * noise)
    return build("cloth", over + 0.1 * noise, dyed * light[..., None], 0.85 + 0.05 * noise)


def metal(rng: Rng, shape: Shape) -> Surface:
    """Return bare metal, brushed or cast, with paint or rust on part of it, or none."""
    seed = int(rng.integers(1 << 31))
    stretch = (float(rng.uniform(1, 30)), 1.0)
    scratch = cloud(shape, seed, 8.0, 1.0, stretch)
    patch = grain(rng, shape, 2.0, 3.0) + 0.3 * grain(rng, shape, 1.0)
    kind = str(rng.choice(("bare", "bare", "rust", "paint")))
    cover = np.zeros(shape, np.float32) if kind == "bare" else step(0.0, 0.25, patch)
    if kind == "paint":
        cover = 1 - step(0.9, 1.1, patch)
    bare = np.array(METALS[str(rng.choice(list(METALS)))]) * np.exp(0.06 * scratch)[..., None]
    coat = swatch(rng, "earth" if kind == "rust" else "dye")
    coat = coat * np.exp((0.3 if kind == "rust" else 0.02) * scratch)[..., None]
    rough = mix_field(float(rng.uniform(0.1, 0.5)), 0.85 if kind == "rust" else 0.4, cover)
    height = cover * 0.6 + 0.08 * scratch
    return build(
        "rust" if kind == "rust" else "metal",
        height,
        mix(bare, coat, cover),
        rough + 0.07 * scratch,
        metalness=1 - cover,
        labels=cover > 0.5,
    )


def leather(rng: Rng, shape: Shape) -> Surface:
    """Return leather, rubber or skin: cells of folds, one dye, worn in places."""
    folds = np.abs(grain(rng, shape, 1.2, 10.0)) ** 0.5
    wear = grain(rng, shape, 2.4)
    base = swatch(rng, str(rng.choice(("earth", "dark", "dye"))))
    light = np.exp(0.25 * (folds - folds.mean()) + 0.12 * wear)
    return build("leather", folds, base * light[..., None], 0.45 + 0.15 * wear * 0.5 - 0.1 * folds)


def leaves(rng: Rng, shape: Shape) -> Surface:
    """Return leaves on a card: each with veins, cut out from nothing."""
    u, v = grid(shape)
    covered, veins = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    shade, height = np.zeros(shape, np.float32), np.zeros(shape, np.float32)
    for _ in range(int(rng.integers(1, 10))):
        turn, size = float(rng.uniform(0, 2 * np.pi)), float(rng.uniform(0.12, 0.4))
        x, y = u - float(rng.uniform(0.2, 0.8)), v - float(rng.uniform(0.2, 0.8))
        along = (x * np.cos(turn) + y * np.sin(turn)) / size
        across = (y * np.cos(turn) - x * np.sin(turn)) / size
        inside = np.abs(across) < 0.35 * np.sqrt(np.clip(1 - along**2, 0, 1)) * (1.1 - 0.4 * along)
        rib = np.exp(-((across / 0.03) ** 2)) + 0.4 * np.maximum(
            0, np.sin((along - np.abs(across)) * 40)
        )
        covered = np.where(inside, 1, covered).astype(np.float32)
        veins = np.where(inside, rib, veins).astype(np.float32)
        shade = np.where(inside, rng.uniform(-0.3, 0.3), shade).astype(np.float32)
        height = np.where(inside, rib + rng.uniform(0, 1), height).astype(np.float32)
    noise = grain(rng, shape, 1.6)
    green = swatch(rng, str(rng.choice(("leaf", "leaf", "earth"))))
    painted = green * np.exp(shade + 0.35 * veins + 0.12 * noise)[..., None]
    if rng.random() < 0.5:  # no colour outside, as if it had been painted on black or white
        painted = np.where(covered[..., None] > 0, painted, float(rng.choice((0.005, 0.9))))
    return build("leaves", height, painted, 0.55 + 0.1 * unit(noise), opacity=covered)


def sheet_metal(rng: Rng, shape: Shape) -> Surface:
    """Return corrugated or riveted panels, painted."""
    u, v = grid(shape)
    waves = int(rng.integers(4, 16))
    relief = np.sin(u * waves * 2 * np.pi)
    dots = np.hypot(u * waves % 1 - 0.5, v * waves % 1 - 0.5)
    rivet = step(0.22, 0.15, dots.astype(np.float32))
    riveted = rng.random() < 0.5
    worn = grain(rng, shape, 1.6)
    bare = step(1.3, 1.5, worn)
    paint = swatch(rng, str(rng.choice(("dye", "stone")))) * np.exp(0.06 * worn)[..., None]
    steel = np.array(METALS["iron"]) * np.exp(0.05 * worn)[..., None]
    height = (rivet if riveted else relief) + 0.05 * worn - 0.1 * bare
    rough = 0.4 + 0.05 * worn
    return build(
        "panel", height, mix(paint, steel, bare), rough, metalness=bare, labels=rivet > 0.5
    )
