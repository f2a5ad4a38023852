"""A deterministic stream of tangent-space normal maps of known state, sound and damaged.

Surfaces, flaws that are no damage (noise, lossy files, scaled strength, averaging) and damage (the
sRGB curve of IEC 61966-2-1 applied or undone once or twice) are drawn independently.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import imagecodecs
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from tests.images.generated import smooth_noise, srgb_decoded, srgb_encoded

Array = NDArray[np.float64]
Damage = Literal["none", "srgb_encoded", "srgb_decoded", "srgb_encoded_twice", "srgb_decoded_twice"]

SURFACES = ("stone", "bricks", "fabric", "bumps", "facets", "ripples", "scratches", "near_flat")
FORMS = ("png8", "png16", "jpeg", "jpeg_fine", "jpeg_as_png")
DAMAGES: tuple[Damage, ...] = ("srgb_encoded", "srgb_decoded")


@dataclass(frozen=True, slots=True, kw_only=True)
class GeneratedMap:
    """One encoded normal map and all that is known of it."""

    surface: str
    flaw: str
    form: str
    damage: Damage
    green_up: bool
    suffix: str
    data: bytes

    @property
    def words(self) -> str:
        return f"{self.surface}, {self.flaw}, {self.form}, {self.damage}"


def height_field(rng: np.random.Generator, surface: str, size: int) -> Array:
    """Return tileable heights in pixels' width, shape (size, size)."""
    y, x = np.mgrid[0:size, 0:size] / size
    noise = smooth_noise(rng, size, float(rng.uniform(1.4, 2.4)))
    if surface in ("stone", "near_flat"):
        return noise
    if surface == "bricks":
        rows = int(rng.integers(4, 10))
        shift = np.floor(y * rows) % 2 * 0.5 / rows
        edge = np.maximum(np.abs(((x + shift) * rows) % 1 - 0.5), np.abs((y * rows) % 1 - 0.5))
        return np.asarray(2.0 * np.clip((0.5 - edge) / 0.06, 0, 1) + 0.15 * noise)
    if surface == "fabric":
        threads = 2 * np.pi * int(rng.integers(6, 14))
        over = np.sign(np.sin(threads * x) * np.sin(threads * y))
        warp, weft = np.abs(np.sin(threads * x)), np.abs(np.sin(threads * y))
        return np.asarray(np.where(over > 0, warp, weft) + 0.1 * noise)
    if surface == "bumps":
        field = np.zeros((size, size))
        for cx, cy, r in rng.uniform((0, 0, 0.02), (1, 1, 0.07), (int(rng.integers(3, 25)), 3)):
            dx, dy = (x[:1] - cx + 0.5) % 1 - 0.5, (y[:, :1] - cy + 0.5) % 1 - 0.5
            field = np.maximum(field, r * r - dx * dx - dy * dy)
        return np.asarray(np.sqrt(field) * 20.0)
    if surface == "facets":
        seeds = rng.uniform(0, 1, (int(rng.integers(8, 40)), 2))
        slopes = rng.normal(0, 6.0, seeds.shape)
        dx = (x[0, :, None] - seeds[:, 0] + 0.5) % 1 - 0.5  # column by seed
        dy = (y[:, 0, None] - seeds[:, 1] + 0.5) % 1 - 0.5  # row by seed
        nearest = np.argmin((dx * dx)[None] + (dy * dy)[:, None], axis=2)
        row, column = np.mgrid[0:size, 0:size]
        along = (dx * slopes[:, 0])[column, nearest] + (dy * slopes[:, 1])[row, nearest]
        return np.asarray(along)
    if surface == "ripples":
        phase = 2 * np.pi * (int(rng.integers(3, 12)) * x + int(rng.integers(0, 4)) * y)
        return np.asarray(np.sin(phase) + 0.2 * noise)
    lines = smooth_noise(rng, size, 0.8)  # scratches: long one way, fine the other
    waves = np.fft.fft2(lines)
    waves *= np.exp(-((np.fft.fftfreq(size)[:, None] * size / 4) ** 2))
    long = np.fft.ifft2(waves).real
    return np.asarray(-np.clip(long / long.std() - 1.0, 0.0, 2.0) + 0.05 * noise)


def unit_normals(field: Array, scale: float, *, green_up: bool) -> Array:
    """Return unit vectors of a height field, shape (size, size, 3), x right, z out.

    glTF 2.0, section 3.9.3: +X is right and +Y is up in texture space, so green is up.
    """
    dx = (np.roll(field, -1, 1) - np.roll(field, 1, 1)) / 2
    down = (np.roll(field, -1, 0) - np.roll(field, 1, 0)) / 2
    steep = float(np.sqrt(np.mean(dx**2 + down**2)))
    dx, down = dx * scale / steep, down * scale / steep
    vectors = np.dstack([-dx, down if green_up else -down, np.ones_like(dx)])
    return np.asarray(vectors / np.linalg.norm(vectors, axis=2, keepdims=True))


def apply_flaw(rng: np.random.Generator, vectors: Array, flaw: str) -> Array:
    """Return stored values, 0 to 1, with a flaw that is no damage of encoding."""
    if flaw == "scaled":
        vectors = (
            vectors * np.array([1.0, 1.0, 0.0]) * rng.uniform(0.5, 2.0)
            + np.array([0.0, 0.0, 1.0]) * vectors
        )
    elif flaw == "averaged":
        for axis in (0, 1):
            vectors = np.mean([np.roll(vectors, s, axis) for s in range(3)], axis=0)
    elif flaw == "blue_full":
        vectors = np.dstack([vectors[..., :2], np.ones(vectors.shape[:2])])
    elif flaw == "strong_axis":
        vectors = vectors * np.array([1.0, rng.uniform(0.3, 0.7), 1.0])
    values = vectors / 2 + 0.5
    if flaw.startswith("noise"):
        values = values + rng.normal(0.0, {"noise": 0.01, "noise_strong": 0.03}[flaw], values.shape)
    return np.clip(values, 0.0, 1.0)


FLAWS = ("none", "none", "noise", "noise_strong", "scaled", "averaged", "blue_full", "strong_axis")


def damaged(values: Array, damage: Damage) -> Array:
    """Return values after the curve."""
    way = srgb_encoded if "encoded" in damage else srgb_decoded
    for _ in range(0 if damage == "none" else 2 if "twice" in damage else 1):
        values = np.asarray(way(values))
    return values


def codes(values: Array, bits: int = 8) -> NDArray[np.integer]:
    """Return stored codes, uint8 or uint16."""
    return np.asarray(np.rint(np.clip(values, 0.0, 1.0) * (2**bits - 1)), dtype=f"uint{bits}")


def encoded_file(values: Array, form: str, quality: int) -> tuple[str, bytes]:
    """Write as a PNG of 8 or 16 bits, or as a JPEG, or as a PNG of what a JPEG gave."""
    if form.startswith("jpeg"):
        out = io.BytesIO()
        sampling = 0 if form == "jpeg_fine" else 2
        Image.fromarray(codes(values)).save(out, "JPEG", quality=quality, subsampling=sampling)
        if form != "jpeg_as_png":
            return "jpg", out.getvalue()
        again = np.asarray(Image.open(out).convert("RGB"))
        return "png", bytes(imagecodecs.png_encode(again, 1))
    return "png", bytes(imagecodecs.png_encode(codes(values, 16 if form == "png16" else 8), 1))


def generated_maps(
    seed: int, count: int, size: int = 128, damages: tuple[Damage, ...] = DAMAGES
) -> Iterator[GeneratedMap]:
    """Yield maps of which every second one is damaged."""
    rng = np.random.default_rng(seed)
    for number in range(count):
        surface = SURFACES[int(rng.integers(len(SURFACES)))]
        flaw = FLAWS[int(rng.integers(len(FLAWS)))]
        form = FORMS[int(rng.integers(len(FORMS)))]
        damage: Damage = damages[int(rng.integers(len(damages)))] if number % 2 else "none"
        up = bool(rng.integers(2))
        scale = float(rng.uniform(0.01, 0.04) if surface == "near_flat" else rng.uniform(0.1, 0.8))
        vectors = unit_normals(height_field(rng, surface, size), scale, green_up=up)
        values = apply_flaw(rng, vectors, flaw)
        if damage != "none" and rng.integers(2):  # it was an 8-bit map when the curve hit it
            values = codes(values) / 255
        suffix, data = encoded_file(damaged(values, damage), form, int(rng.integers(60, 97)))
        yield GeneratedMap(
            surface=surface,
            flaw=flaw,
            form=form,
            damage=damage,
            green_up=up,
            suffix=suffix,
            data=data,
        )
