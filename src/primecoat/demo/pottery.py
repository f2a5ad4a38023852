"""Glazes of the tea set. ``u`` runs round the pot, ``v`` from the rim down to the foot."""

from __future__ import annotations

import numpy as np

from primecoat.demo.noise import Cells, Field, Shape, cells, cloud, grid
from primecoat.demo.paint import Picture, Surface, hue, mix, shade, step, unit


def _specks(u: Field, v: Field, count: tuple[int, int], seed: int, share: float) -> Field:
    """Return a mask of round specks; ``share`` of the cells hold one, of varied size."""
    points = cells(u, v, count, seed)
    size = np.maximum(points.number - (1 - share), 0) / share * 0.42
    return np.asarray(step(0.08, -0.08, points.nearest - size) * (size > 0), dtype=np.float32)


def _crackle(u: Field, v: Field, count: tuple[int, int], seed: int, width: float) -> Field:
    """Return a mask of fine cracks in a glaze."""
    net: Cells = cells(u, v, count, seed, jitter=0.95)
    return step(width, width * 0.25, net.border)


def celadon(shape: Shape) -> Surface:
    """Return a pale green crackled glaze with iron specks: the teapot."""
    u, v = grid(shape)
    soft, fine = cloud(shape, 11, 2.0, 2.4), cloud(shape, 12, 40.0, 2.0)
    warp_u, warp_v = cloud(shape, 13, 4.0, 2.6) * 0.012, cloud(shape, 14, 4.0, 2.6) * 0.012
    wide = _crackle(u + warp_u, v + warp_v, (9, 9), 15, 0.05)
    narrow = _crackle(u - warp_v, v + warp_u, (21, 21), 16, 0.07)
    narrow = narrow * step(-0.3, 1.0, cloud(shape, 17, 3.0, 2.5))
    foot = step(0.55, 1.0, v + 0.04 * soft)
    colour = mix(hue("a9c3ab"), hue("c9d6bd"), step(-1.6, 1.6, soft))
    colour = mix(colour, hue("7fa08a"), foot * 0.55)
    colour = mix(colour, hue("d9d3b4"), step(0.07, 0.0, v + 0.012 * soft) * 0.8)
    colour = mix(colour, hue("76705a"), np.maximum(wide * 0.62, narrow * 0.3))
    specks = _specks(u + warp_u, v, (38, 38), 18, 0.13)
    colour = mix(colour, hue("5a4330"), specks * 0.75)
    height = 0.7 + 0.02 * soft + 0.012 * fine - 0.16 * wide - 0.07 * narrow - 0.05 * specks
    rough = 0.12 + 0.03 * unit(soft) + 0.25 * wide + 0.12 * narrow + 0.3 * specks
    return Surface(
        colour=shade(colour, 1 + 0.012 * fine), height=height, roughness=np.clip(rough, 0, 1)
    )


def cobalt(shape: Shape) -> Surface:
    """Return white porcelain painted with a blue scroll of flowers: the cups."""
    u, v = grid(shape)
    hand, grain = cloud(shape, 21, 5.0, 2.6), cloud(shape, 22, 30.0, 1.6)
    x, y = u + 0.004 * hand, v + 0.004 * cloud(shape, 23, 5.0, 2.6)
    wave = 0.47 + 0.09 * np.sin(2 * np.pi * 4 * x)
    ink = step(0.011, 0.005, np.abs(y - wave)) * 0.9
    for number in range(8):
        upward = 1 if number % 2 else -1
        centre_x, centre_y = (number + 0.5) / 8, 0.47 + upward * 0.075
        across = (x - centre_x + 0.5) % 1 - 0.5
        away, angle = np.hypot(across, y - centre_y), np.arctan2(y - centre_y, across)
        petals = 0.046 * (0.62 + 0.38 * np.abs(np.cos(2.5 * angle + number)))
        flower = step(0.004, -0.004, away - petals) * (0.45 + 0.5 * step(0.2, 1.0, away / petals))
        flower = np.maximum(flower * step(0.008, 0.012, away), step(0.008, 0.004, away))
        ink = np.maximum(ink, flower)
        for side in (-1, 1):
            leaf_x = (across - side * 0.052) * 0.8 + (y - centre_y) * 0.6 * side
            leaf_y = (y - centre_y + upward * 0.012) * 0.8 - (across - side * 0.052) * 0.6 * side
            leaf = step(0.0035, -0.0035, np.hypot(leaf_x, leaf_y * 2.6) - 0.026)
            ink = np.maximum(ink, leaf * (0.55 + 0.45 * step(0.003, 0.0, np.abs(leaf_y))))
    for line, width, strength in (
        (0.055, 0.008, 0.95),
        (0.085, 0.004, 0.8),
        (0.86, 0.016, 0.9),
        (0.9, 0.004, 0.8),
    ):
        ink = np.maximum(ink, strength * step(width, width * 0.6, np.abs(y - line)))
    for number in range(32):
        across = (x - (number + 0.5) / 32 + 0.5) % 1 - 0.5
        ink = np.maximum(ink, step(0.011, 0.007, np.hypot(across, (y - 0.125) * 1.1)) * 0.75)
    ink = np.clip(ink * (0.86 + 0.1 * hand + 0.05 * grain), 0, 1)
    colour = mix(hue("eeefe9"), hue("e2e8ea"), step(-1.5, 1.5, cloud(shape, 24, 2.0, 2.4)))
    colour = mix(colour, hue("7f9ad0"), step(0.0, 0.35, ink))
    colour = mix(colour, hue("1c2f80"), step(0.2, 1.0, ink))
    rough = 0.1 + 0.04 * unit(cloud(shape, 25, 3.0, 2.2)) + 0.05 * ink
    return Surface(colour=colour, height=0.6 + 0.01 * hand + 0.03 * ink, roughness=rough)


def stoneware(shape: Shape) -> Surface:
    """Return cream speckled stoneware with throwing rings and an iron rim: the saucers."""
    u, v = grid(shape)
    soft, grain = cloud(shape, 31, 3.0, 2.4), cloud(shape, 32, 60.0, 1.2)
    rings = np.sin(2 * np.pi * (22 * v + u) + 0.5 * soft) * (0.6 + 0.4 * soft)
    colour = mix(hue("d8c9a8"), hue("e6dcc4"), step(-1.5, 1.5, soft + 0.5 * rings))
    rim = step(0.09, 0.03, v + 0.012 * soft) + step(0.93, 0.99, v)
    colour = mix(colour, hue("8a5a35"), np.clip(rim, 0, 1) * 0.85)
    halo = step(0.16, 0.07, v + 0.02 * soft) * 0.4
    colour = mix(colour, hue("b88d5b"), halo * (1 - np.clip(rim, 0, 1)))
    specks = np.maximum(_specks(u, v, (40, 40), 33, 0.09), 0.7 * _specks(u, v, (96, 96), 34, 0.16))
    colour = mix(colour, hue("54402c"), specks * 0.8)
    height = 0.6 + 0.05 * rings + 0.02 * grain + 0.02 * soft
    rough = 0.34 + 0.06 * unit(soft) + 0.2 * specks + 0.25 * np.clip(rim, 0, 1) + 0.02 * grain
    return Surface(colour=shade(colour, 1 + 0.012 * grain), height=height, roughness=rough)


def tenmoku(shape: Shape) -> Surface:
    """Return a dark glaze with rust streaks that ends in drips above bare clay: the bowl."""
    _, v = grid(shape)
    streak = cloud(shape, 41, 30.0, 1.8, (0.6, 9.0))
    soft, grit = cloud(shape, 42, 3.0, 2.2), cloud(shape, 43, 90.0, 1.0)
    edge = 0.7 + 0.08 * np.abs(cloud(shape, 44, 7.0, 4.5, (1.0, 9.0))) + 0.004 * soft
    inside = edge - v
    glazed = step(-0.006, 0.006, inside)
    fur = step(-0.4, 1.7, streak + 1.3 * (0.5 - v))
    colour = mix(hue("21140f"), hue("7a3f1a"), fur * (0.4 + 0.6 * step(0.75, 0.1, v)))
    colour = mix(colour, hue("b9762f"), fur * step(0.32, 0.03, v) * 0.85)
    colour = mix(colour, hue("c89a55"), step(0.05, 0.012, v + 0.006 * soft) * 0.9)
    roll = step(0.045, 0.0, inside) * glazed
    colour = mix(colour, hue("120b0a"), roll * 0.7)
    clay = mix(hue("a8805c"), hue("c09a74"), step(-1.5, 1.5, soft + 0.6 * grit))
    clay = shade(clay, 1 + 0.04 * grit)
    bead = step(0.0, 0.02, inside) * step(0.07, 0.02, inside)
    turned = np.sin(2 * np.pi * 26 * v + 0.4 * soft)
    height = 0.35 + 0.008 * grit * (1 - glazed) + 0.016 * turned
    height = height + glazed * (0.22 + 0.02 * streak) + 0.1 * bead
    rough = np.where(glazed > 0.5, 0.12 + 0.12 * fur, 0.82 + 0.03 * grit)
    return Surface(
        colour=mix(clay, colour, glazed),
        height=height.astype(np.float32),
        roughness=np.clip(rough, 0, 1).astype(np.float32),
    )


def turquoise(shape: Shape) -> Surface:
    """Return a fluted turquoise glaze that pools in its flutes: the sugar jar."""
    u, v = grid(shape)
    soft, fine = cloud(shape, 51, 3.0, 2.4), cloud(shape, 52, 36.0, 1.8)
    body = step(0.14, 0.2, v) * step(0.92, 0.86, v)
    flute = 0.5 + 0.5 * np.cos(2 * np.pi * (16 * u + 0.25 * np.sin(2 * np.pi * v)))
    depth = (1 - np.sqrt(flute)) * body
    colour = mix(hue("5fb9b2"), hue("3f9c9c"), step(-1.6, 1.6, soft))
    colour = mix(colour, hue("145b66"), step(0.15, 1.0, depth + 0.08 * soft * body) * 0.85)
    ridge = step(0.28, 0.0, depth) * body
    colour = mix(colour, hue("b9ddd0"), ridge * (0.45 + 0.1 * soft))
    rings = step(0.012, 0.004, np.abs(v - 0.15)) + step(0.012, 0.004, np.abs(v - 0.91))
    colour = mix(colour, hue("0f4a55"), np.clip(rings, 0, 1) * 0.8)
    colour = mix(colour, hue("d9cfae"), step(0.03, 0.0, v + 0.004 * soft))
    height = 0.85 - 0.6 * depth - 0.25 * np.clip(rings, 0, 1) + 0.006 * fine
    rough = 0.1 + 0.05 * unit(soft) + 0.08 * ridge
    return Surface(colour=shade(colour, 1 + 0.012 * fine), height=height, roughness=rough)


def two_dips(shape: Shape) -> Surface:
    """Return a cream glaze dipped once more in plum: the milk jug."""
    _, v = grid(shape)
    soft, fine = cloud(shape, 61, 3.0, 2.4), cloud(shape, 62, 50.0, 1.6)
    line = 0.5 + 0.03 * cloud(shape, 63, 3.0, 2.8, (1.0, 7.0))
    dipped = step(-0.006, 0.008, v - line)
    cream = mix(hue("efe6d2"), hue("e2d5ba"), step(-1.5, 1.5, soft))
    plum = mix(hue("5b2f4a"), hue("76455f"), step(-1.3, 1.5, soft + 0.5 * fine))
    halo = step(0.05, 0.0, np.abs(v - line)) * (1 - dipped)
    colour = mix(mix(cream, hue("c99e8e"), halo * 0.55), plum, dipped)
    height = 0.5 + 0.12 * dipped + 0.01 * fine + 0.015 * soft
    rough = np.clip(0.3 - 0.16 * dipped + 0.04 * unit(soft) + 0.02 * fine, 0, 1)
    return Surface(colour=colour, height=height, roughness=rough)


def gold_rim(shape: Shape) -> Picture:
    """Return the specular tint of a cup: white, with a worn band of gold lustre at the rim."""
    _, v = grid(shape)
    worn = step(1.6, 0.6, cloud(shape, 26, 20.0, 1.5))
    band = step(0.044, 0.038, np.abs(v) + 0.002 * cloud(shape, 21, 5.0, 2.6))
    brushed = 1 + 0.03 * cloud(shape, 27, 60.0, 1.0, (20.0, 1.0))
    gold = shade(np.broadcast_to(hue("e8b45a"), (*shape, 3)), brushed)
    return mix(np.broadcast_to(hue("f4f4f2"), (*shape, 3)), gold, band * worn)
