"""Walls and paving of the courtyard."""

from __future__ import annotations

import numpy as np

from primecoat.demo.noise import Shape, blur, cells, cloud, grid
from primecoat.demo.paint import Surface, hue, mix, shade, step, unit


def brick(shape: Shape, columns: int = 4, rows: int = 12) -> Surface:
    """Return an old brick wall in running bond; ``rows`` must be even to tile."""
    u, v = grid(shape)
    x = u * columns + 0.01 * cloud(shape, 101, 14.0, 2.8)
    y = v * rows + 0.028 * cloud(shape, 102, 14.0, 2.8)
    row = np.floor(y).astype(np.int64) % rows
    x = x + 0.5 * (row % 2)
    column = np.floor(x).astype(np.int64) % columns
    inside_x, inside_y = x - np.floor(x), y - np.floor(y)
    edge_x = np.minimum(inside_x, 1 - inside_x) / columns * 0.75
    edge_y = np.minimum(inside_y, 1 - inside_y) / rows
    edge = np.minimum(edge_x, edge_y) * 3 * columns
    grit, soft = cloud(shape, 103, 40.0, 1.2), cloud(shape, 104, 3.0, 2.0)
    burn = cloud(shape, 105, 6.0, 1.8)
    body = step(0.06, 0.13, edge + 0.012 * cloud(shape, 106, 24.0, 1.8))
    random = np.random.default_rng(107)
    tone, warm, out = (
        random.random((rows, columns)).astype(np.float32)[row, column] for _ in range(3)
    )
    face = mix(hue("8f4e39"), hue("b57a5c"), tone)
    face = mix(face, hue("6e3a33"), step(0.72, 0.95, warm) * 0.8)
    face = mix(face, hue("c99a76"), step(0.2, 0.05, warm) * 0.6)
    face = mix(face, hue("4f302b"), step(0.6, 2.2, burn) * 0.55)
    face = shade(face, 1 + 0.06 * grit)
    pits = step(1.7, 2.4, cloud(shape, 108, 50.0, 1.5))
    face = shade(face, 1 - 0.35 * pits)
    mortar = shade(mix(hue("a99f8e"), hue("c2b8a5"), step(-1.5, 1.5, soft)), 1 + 0.05 * grit)
    colour = mix(mortar, face, body)
    bloom = step(0.7, 2.0, soft + 0.3 * grit)
    colour = mix(colour, hue("d3cabc"), bloom * 0.3)
    height = 0.2 + 0.03 * grit + body * (0.42 + 0.16 * out - 0.12 * pits + 0.04 * burn)
    rough = np.clip(0.88 - 0.08 * body + 0.03 * grit, 0, 1)
    return Surface(colour=colour, height=blur(height.astype(np.float32), 0.7), roughness=rough)


def plaster(shape: Shape) -> Surface:
    """Return lime plaster in ochre, with trowel marks, hair cracks and stains."""
    u, v = grid(shape)
    soft, mid = cloud(shape, 111, 2.0, 2.2), cloud(shape, 112, 8.0, 2.0)
    trowel = cloud(shape, 113, 20.0, 2.2, (2.5, 1.0))
    grit = cloud(shape, 114, 90.0, 0.9)
    warp = cloud(shape, 115, 6.0, 2.2) * 0.03
    net = cells(u + warp, v + 0.7 * warp, (3, 3), 116)
    crack = step(0.012, 0.003, net.border) * step(0.2, 1.0, mid)
    runs = step(0.4, 2.2, cloud(shape, 117, 16.0, 1.8, (1.0, 9.0)) + 0.5 * soft)
    colour = mix(hue("c9a76f"), hue("dcc18d"), step(-1.6, 1.6, soft + 0.5 * mid))
    colour = mix(colour, hue("e6d6b2"), step(0.6, 2.0, trowel) * 0.35)
    colour = mix(colour, hue("8f7a58"), runs * 0.35)
    colour = mix(colour, hue("5d4b36"), crack * 0.7)
    height = unit(0.5 * trowel + 0.6 * mid + 0.12 * grit - 2.5 * crack)
    rough = np.clip(0.84 + 0.03 * trowel + 0.02 * grit, 0, 1)
    return Surface(colour=shade(colour, 1 + 0.025 * grit), height=height, roughness=rough)


def paving(shape: Shape) -> Surface:
    """Return worn limestone flags with moss in the joints."""
    u, v = grid(shape)
    warp = cloud(shape, 121, 10.0, 2.2) * 0.004
    net = cells(u + warp, v - warp, (5, 5), 122, jitter=0.62)
    soft, grit = cloud(shape, 123, 4.0, 1.9), cloud(shape, 124, 60.0, 1.0)
    stone = step(0.03, 0.09, net.border)
    colour = mix(hue("8f8a7d"), hue("b9b1a0"), net.number)
    colour = mix(colour, hue("a3937c"), step(0.2, 1.8, soft) * 0.6)
    colour = shade(colour, 1 + 0.045 * grit + 0.03 * soft)
    moss = (1 - stone) * step(-0.6, 0.8, cloud(shape, 125, 5.0, 2.0))
    colour = mix(mix(hue("4b443a"), colour, stone), hue("5d6a34"), moss * 0.75)
    height = unit(step(0.0, 0.16, net.border) + 0.05 * soft + 0.02 * grit)
    rough = np.clip(0.7 + 0.06 * soft + 0.03 * grit, 0, 1)
    return Surface(colour=colour, height=height, roughness=rough)
