"""Generated pictures for the tests: normal maps of known state, and colour pictures."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def srgb_encoded(light: Array) -> Array:
    """Encode 0 to 1 with the sRGB curve. Source: IEC 61966-2-1:1999."""
    return np.asarray(
        np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    )


def srgb_decoded(codes: Array) -> Array:
    """Decode 0 to 1 with the sRGB curve. Source: IEC 61966-2-1:1999."""
    return np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)


def smooth_noise(rng: np.random.Generator, size: int, slope: float) -> Array:
    """Return tileable noise with a spectrum falling as 1 / frequency ** slope; deviation 1."""
    frequencies = np.hypot(*np.meshgrid(np.fft.fftfreq(size), np.fft.fftfreq(size)))
    frequencies[0, 0] = np.inf
    waves = np.fft.fft2(rng.normal(size=(size, size))) / frequencies**slope
    noise = np.fft.ifft2(waves).real
    return np.asarray(noise / noise.std())


def heights(rng: np.random.Generator, size: int) -> Array:
    """Return a tileable height field: stone, bricks, ripples or pebbles."""
    y, x = np.mgrid[0:size, 0:size] / size
    noise = smooth_noise(rng, size, float(rng.uniform(1.2, 2.4)))
    match int(rng.integers(4)):
        case 0:
            return noise
        case 1:
            rows = int(rng.integers(4, 10))
            shift = np.floor(y * rows) % 2 * 0.5 / rows
            edge_x = np.abs(((x + shift) * rows) % 1 - 0.5)
            edge_y = np.abs((y * rows) % 1 - 0.5)
            joint = np.clip((0.5 - np.maximum(edge_x, edge_y)) / 0.06, 0, 1)
            return np.asarray(2.0 * joint + 0.15 * noise)
        case 2:
            waves = int(rng.integers(3, 12))
            phase = 2 * np.pi * (waves * x + int(rng.integers(0, 4)) * y)
            return np.asarray(np.sin(phase) + 0.2 * noise)
        case _:
            return np.maximum(noise, 0.3)


def normal_map(rng: np.random.Generator, size: int = 128, strength: float = 1.0) -> Array:
    """Return a sound tangent-space normal map, 0 to 1, shape (size, size, 3)."""
    field = heights(rng, size)
    dx = (np.roll(field, -1, 1) - np.roll(field, 1, 1)) / 2
    dy = (np.roll(field, -1, 0) - np.roll(field, 1, 0)) / 2
    steep = np.sqrt(np.mean(dx**2 + dy**2))
    scale = strength * float(rng.uniform(0.1, 0.7)) / steep
    vectors = np.dstack([-dx * scale, -dy * scale, np.ones_like(dx)])
    vectors /= np.linalg.norm(vectors, axis=2, keepdims=True)
    return np.asarray(vectors / 2 + 0.5)


def cloth(rng: np.random.Generator, colour: tuple[float, float, float], size: int = 128) -> Array:
    """Return folds of cloth of one colour under light, sRGB-encoded, 0 to 1."""
    folds = 1.0 + 0.35 * smooth_noise(rng, size, 2.2)[..., None]
    weave = 1.0 + 0.05 * rng.normal(size=(size, size, 1))
    light = srgb_decoded(np.array(colour)) * np.clip(folds, 0.1, 2.0) * weave
    return srgb_encoded(np.clip(light, 0.0, 1.0))


def sky(rng: np.random.Generator, size: int = 128) -> Array:
    """Return a blue sky with or without clouds, sRGB-encoded, 0 to 1."""
    height = np.linspace(0.0, 1.0, size)[:, None, None]
    low = np.array([0.62, 0.78, 0.95]) + rng.uniform(-0.08, 0.05, 3)
    high = np.array([0.25, 0.45, 0.85]) + rng.uniform(-0.08, 0.08, 3)
    clear = low * height + high * (1 - height) + np.zeros((size, size, 3))
    cover = np.clip(smooth_noise(rng, size, 2.0)[..., None] * rng.uniform(0.0, 0.6), 0, 1)
    return np.clip(clear * (1 - cover) + cover, 0.0, 1.0)


def colours(rng: np.random.Generator, size: int = 128) -> Array:
    """Return a picture of patches of any colours with shading, sRGB-encoded, 0 to 1."""
    layers = [smooth_noise(rng, size, 2.0) for _ in range(3)]
    patches = np.argmax(layers, axis=0)
    palette = rng.uniform(0.05, 0.9, (3, 3))
    shade = np.clip(1.0 + 0.2 * smooth_noise(rng, size, 1.6)[..., None], 0.3, 1.4)
    return srgb_encoded(np.clip(palette[patches] * shade, 0.0, 1.0))
