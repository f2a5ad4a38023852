"""What else lies on the table: wood, cloth, metal, fruit, cork."""

from __future__ import annotations

import numpy as np

from primecoat.demo.noise import Field, Shape, blur, cells, cloud, grid, sample
from primecoat.demo.paint import Surface, hue, mix, shade, step, unit


def oak(shape: Shape, boards: int, seed: int) -> Surface:
    """Return oiled oak boards, grain running across the picture.

    Parameters
    ----------
    shape
        Height and width in pixels.
    boards
        Number of boards, one above the other.
    seed
        Chooses the trees.
    """
    u, v = grid(shape)
    random = np.random.default_rng(seed)
    board = np.minimum((v * boards).astype(np.int32), boards - 1)
    inside = v * boards - board
    tone, shift_u, shift_v = (random.random(boards).astype(np.float32)[board] for _ in range(3))
    bend = cloud(shape, seed + 1, 2.0, 3.0, (1.0, 0.35))
    slow = sample(bend, u + shift_u, v * 0.6 + shift_v)
    heart = 0.5 + 0.55 * (tone - 0.5)
    arch = 0.32 + 0.34 * np.sin(np.pi * (u + shift_u)) ** 2
    rings = 13 * np.hypot((inside - heart) * 1.7, arch) + 0.38 * slow
    part = rings - np.floor(rings)
    late = np.where(part < 0.82, part / 0.82, (1 - part) / 0.18) ** 2
    fibre = cloud(shape, seed + 2, 60.0, 1.3, (24.0, 1.0))
    streak = cloud(shape, seed + 3, 14.0, 1.6, (12.0, 1.0))
    pores = step(1.2, 2.1, cloud(shape, seed + 4, 90.0, 1.8, (9.0, 1.0)) + 0.55 * late)
    flecks = step(1.5, 2.3, cloud(shape, seed + 5, 30.0, 2.2, (3.0, 1.0)))
    colour = mix(hue("c69a63"), hue("b0824d"), tone * 0.9)
    colour = mix(colour, hue("8a5c30"), late * 0.5)
    colour = shade(colour, 1 + 0.035 * fibre + 0.03 * streak)
    colour = mix(colour, hue("4e3218"), pores * 0.55)
    colour = mix(colour, hue("dab783"), flecks * 0.3)
    gap = step(0.014, 0.004, np.minimum(inside, 1 - inside) * (4 / boards))
    colour = mix(colour, hue("2b1a0d"), gap * 0.85)
    height = 0.75 + 0.02 * fibre - 0.1 * late - 0.18 * pores - 0.6 * gap
    rough = np.clip(0.46 + 0.12 * late + 0.15 * pores + 0.02 * fibre + 0.3 * gap, 0, 1)
    return Surface(colour=colour, height=height.astype(np.float32), roughness=rough)


def linen(shape: Shape, threads: int = 56) -> Surface:
    """Return washed linen in plain weave, with slubs."""
    u, v = grid(shape)
    wander_u = cloud(shape, 71, 5.0, 2.6, (1.0, 0.5)) * 0.0016
    wander_v = cloud(shape, 72, 5.0, 2.6, (0.5, 1.0)) * 0.0016
    x, y = (u + wander_u) * threads, (v + wander_v) * threads
    column, row = np.floor(x).astype(np.int64), np.floor(y).astype(np.int64)
    over = ((column + row) % 2).astype(np.float32)
    slub_warp = cloud(shape, 73, 30.0, 1.8, (1.0, 14.0))
    slub_weft = cloud(shape, 74, 30.0, 1.8, (14.0, 1.0))
    across, down = x - column - 0.5, y - row - 0.5
    warp = _thread(across, down, 0.43 + 0.035 * slub_warp)
    weft = _thread(down, across, 0.43 + 0.035 * slub_weft)
    height = np.where(over > 0.5, np.maximum(warp, 0.62 * weft), np.maximum(weft, 0.62 * warp))
    on_top = np.where(over > 0.5, slub_warp, slub_weft)
    soft, fibre = cloud(shape, 75, 2.0, 2.2), cloud(shape, 76, 120.0, 0.8)
    colour = mix(hue("cfc3a9"), hue("e3dac6"), step(-2.0, 2.0, on_top))
    colour = shade(colour, 0.56 + 0.46 * np.clip(height, 0, 1) + 0.02 * soft + 0.018 * fibre)
    stripe = step(0.03, 0.027, np.abs(v - 0.5)) * step(0.014, 0.017, np.abs(v - 0.5))
    dyed = (stripe * step(0.15, 0.5, np.where(over > 0.5, 0.35 * weft, weft))).astype(np.float32)
    colour = mix(
        colour, shade(np.broadcast_to(hue("4a6a86"), colour.shape), 0.6 + 0.5 * height), dyed
    )
    height = np.clip(height + 0.03 * fibre, 0, 1).astype(np.float32)
    rough = np.clip(0.9 - 0.1 * height + 0.02 * fibre, 0, 1)
    return Surface(colour=colour, height=height, roughness=rough)


def _thread(across: Field, along: Field, width: Field) -> Field:
    """Return the height of one thread: round across, arched along."""
    round_part = np.sqrt(np.clip(1 - (across / width) ** 2, 0, 1))
    return np.asarray(round_part * (0.62 + 0.38 * np.cos(np.pi * along)), dtype=np.float32)


def brass(shape: Shape) -> Surface:
    """Return brushed brass with patina in the hollows and a few scratches."""
    u, v = grid(shape)
    brushed = cloud(shape, 81, 60.0, 0.9, (40.0, 1.0))
    soft, blotch = cloud(shape, 82, 3.0, 2.2), cloud(shape, 83, 8.0, 1.8)
    patina = step(0.2, 3.2, soft + 0.6 * blotch)
    scratches = np.zeros(shape, dtype=np.float32)
    random = np.random.default_rng(84)
    for x, y, angle, length in random.random((36, 4)):
        turn = (angle - 0.5) * 1.2
        away_u, away_v = (u - x + 0.5) % 1 - 0.5, (v - y + 0.5) % 1 - 0.5
        along = away_u * np.cos(turn) + away_v * np.sin(turn)
        beside = away_v * np.cos(turn) - away_u * np.sin(turn)
        cut = step(0.0022, 0.0006, np.abs(beside)) * step(0.05 + 0.2 * length, 0.0, np.abs(along))
        scratches = np.maximum(scratches, cut)
    colour = mix(hue("e2bd70"), hue("d3a957"), step(-1.5, 1.5, blotch))
    colour = mix(colour, hue("8c6a38"), patina * 0.7)
    colour = mix(colour, hue("f0d79b"), scratches * 0.5)
    colour = shade(colour, 1 + 0.022 * brushed)
    height = 0.6 + 0.03 * brushed - 0.12 * scratches - 0.03 * patina
    rough = np.clip(0.24 + 0.03 * brushed + 0.3 * patina + 0.12 * scratches, 0.05, 1)
    return Surface(colour=colour, height=height.astype(np.float32), roughness=rough)


def bare_metal(surface: Surface) -> Field:
    """Return the metalness of brass: 1 where it is bare, less under its patina."""
    return np.asarray(1 - 0.75 * step(0.4, 0.62, surface.roughness), dtype=np.float32)


def jam(shape: Shape) -> Surface:
    """Return fruit preserve: translucent red, with pieces and small seeds."""
    u, v = grid(shape)
    warp = cloud(shape, 91, 3.0, 2.6) * 0.02
    pieces = cells(u + warp, v - warp, (5, 5), 92)
    lump = step(0.0, 0.45, pieces.border) * step(0.3, 0.5, pieces.number)
    soft = cloud(shape, 93, 3.0, 2.2)
    colour = mix(hue("6a0d12"), hue("a3161c"), step(-1.5, 1.5, soft))
    colour = mix(colour, hue("c8322b"), lump * 0.55)
    seeds = cells(u - warp, v + warp, (26, 26), 94)
    there = step(0.72, 0.76, seeds.number) * step(0.2, 0.11, seeds.nearest)
    colour = mix(colour, hue("d9a24c"), there * 0.85)
    height = blur(unit(0.5 * lump + 0.3 * unit(soft) + 0.08 * there), 1.5)
    rough = 0.08 + 0.06 * unit(soft) + 0.15 * there
    return Surface(colour=colour, height=height, roughness=rough)


def cork(shape: Shape) -> Surface:
    """Return pressed cork: the coaster."""
    u, v = grid(shape)
    warp = cloud(shape, 96, 12.0, 2.2) * 0.008
    grains = cells(u + warp, v - warp, (26, 26), 97)
    fine = cloud(shape, 98, 60.0, 1.2)
    colour = mix(hue("b98a58"), hue("d2a873"), grains.number)
    colour = mix(colour, hue("6b4526"), step(0.88, 0.93, grains.number) * 0.8)
    colour = mix(colour, hue("8a6238"), step(0.12, 0.02, grains.border) * 0.7)
    height = unit(step(0.0, 0.35, grains.border) + 0.08 * fine)
    return Surface(
        colour=shade(colour, 1 + 0.04 * fine), height=height, roughness=0.85 + 0.05 * height
    )
