"""Pictures with an outline: the bay leaf, the pottery's mark, the lantern's glass."""

from __future__ import annotations

import numpy as np

from primecoat.demo.noise import Field, Shape, cloud, grid
from primecoat.demo.paint import Picture, hue, layers, mix, shade, step


def _leaf_places(shape: Shape) -> tuple[Field, Field, Field, Field]:
    """Return along (0 stalk to 1 tip), across (-1 to 1 at the edge), half width, raw across."""
    u, v = grid(shape)
    bend = 0.03 * np.sin(np.pi * (1 - v))
    along = (0.94 - v) / 0.88
    inside = np.clip(along, 0, 1)
    half = 0.2 * np.clip(np.sin(np.pi * inside**0.85), 0, 1) ** 0.9
    ripple = 1 + 0.025 * np.sin(2 * np.pi * 7 * along)
    side = u - 0.5 - bend
    width = np.asarray(np.maximum(half * ripple, 1e-3), dtype=np.float32)
    return along.astype(np.float32), (side / width).astype(np.float32), width, side


def leaf(shape: Shape) -> Picture:
    """Return a bay leaf with its outline in alpha; the colour goes on where alpha is 0.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 4), colour sRGB-encoded, alpha is coverage.
    """
    along, across, width, side = _leaf_places(shape)
    mottle, fine = cloud(shape, 131, 6.0, 1.9), cloud(shape, 132, 50.0, 1.2)
    middle = step(0.0095, 0.003, np.abs(side)) * step(1.0, 0.9, along)
    phase = (along - 1.1 * np.abs(side) ** 0.9) * 12
    veins = step(0.1, 0.03, np.abs(phase - np.round(phase))) * step(1.0, 0.7, np.abs(across))
    colour = mix(hue("3f6b2c"), hue("5e8a3c"), step(-1.6, 1.6, mottle))
    colour = mix(colour, hue("7f9f4e"), np.clip(np.abs(across), 0, 1) ** 3 * 0.55)
    colour = shade(colour, 1 + 0.03 * fine - 0.1 * step(-0.2, 0.2, across))
    colour = mix(colour, hue("a9bd74"), np.maximum(middle, veins * 0.45))
    spots = step(1.9, 2.5, cloud(shape, 133, 18.0, 1.8))
    colour = mix(colour, hue("7a5a2c"), spots * 0.6)
    distance = (1 - np.abs(across)) * width
    blade = step(-0.003, 0.003, distance) * step(-0.002, 0.01, along) * step(1.0, 0.99, along)
    stalk = step(0.009, 0.005, np.abs(side)) * step(-0.05, -0.04, along) * step(0.1, 0.05, along)
    return np.concatenate((colour, np.maximum(blade, stalk)[..., None]), axis=-1)


def mark(shape: Shape) -> Picture:
    """Return the pottery's mark, a pot in a ring, on nothing.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 4), flat sRGB-encoded colours, alpha is coverage.
    """
    u, v = grid(shape)
    x, y = (u - 0.5) * 2, (v - 0.5) * 2
    soft = 3.0 / shape[0]
    away = np.hypot(x, y)

    def inside(distance: Field) -> Field:
        return step(soft, -soft, distance)

    disc = inside(away - 0.92)
    ring = inside(np.abs(away - 0.82) - 0.028)
    belly = inside(np.hypot(x / 0.42, (y - 0.16) / 0.34) * 0.38 - 0.38)
    foot = inside(np.maximum(np.abs(x) - 0.2, np.abs(y - 0.5) - 0.035))
    lid = inside(np.hypot(x / 0.24, (y + 0.18) / 0.11) * 0.16 - 0.16)
    knob = inside(np.hypot(x, y + 0.33) - 0.05)
    handle = inside(np.abs(np.hypot((x + 0.46) / 0.9, y - 0.12) - 0.2) - 0.035)
    spout_way = 0.36 * (x - 0.36) - 0.9 * (0.12 - y)
    spout = inside(
        np.maximum(np.abs(spout_way + 0.05) - 0.09 * (1.15 - x), np.maximum(0.28 - x, x - 0.66))
    )
    pot = np.clip(belly + foot + lid + knob + handle + spout, 0, 1)
    gap = inside(np.abs(y + 0.1 - 0.12 * x * x) - 0.014) * inside(np.abs(x) - 0.34)
    steam = np.zeros_like(x)
    for place in (-0.14, 0.0, 0.14):
        curl = np.abs(x - place - 0.035 * np.sin(14 * y + 6 * place)) - 0.015
        steam = np.maximum(steam, inside(np.maximum(curl, np.abs(y + 0.53) - 0.1)))
    ink = np.clip(np.maximum(np.maximum(pot - gap, 0), np.maximum(ring, steam)), 0, 1)
    colour = mix(np.broadcast_to(hue("1e4d5c"), (*shape, 3)), hue("f2e6cf"), ink)
    return np.concatenate((colour, disc[..., None]), axis=-1)


def glow(shape: Shape) -> Picture:
    """Return the light of a candle behind ribbed glass, black between the bars.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 3), sRGB-encoded.
    """
    u, v = grid(shape)
    ribs = 0.82 + 0.18 * np.cos(2 * np.pi * 24 * u)
    flicker = 1 + 0.06 * cloud(shape, 141, 3.0, 2.2)
    place = (u * 4) % 1 - 0.5
    flame = np.exp(-((place / 0.17) ** 2 + ((v - 0.62) / (0.12 + 0.16 * (v < 0.62))) ** 2))
    halo = np.exp(-((place / 0.42) ** 2 + ((v - 0.58) / 0.36) ** 2))
    bars = step(0.03, 0.06, 0.5 - np.abs(place)) * step(0.04, 0.08, np.minimum(v, 1 - v))
    red = bars * np.clip(0.16 + 0.72 * halo + 0.4 * flame, 0, 1) * ribs * flicker
    green = bars * np.clip(0.05 + 0.33 * halo + 0.4 * flame, 0, 1) * ribs * flicker
    blue = bars * np.clip(0.015 + 0.1 * halo + 0.5 * flame**2, 0, 1) * ribs * flicker
    return np.clip(layers(red, green, blue), 0, 1)
