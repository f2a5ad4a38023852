"""Normal maps as texture sheets: many islands, each its own surface turned its own way."""

from __future__ import annotations

import io
from dataclasses import dataclass

import imagecodecs
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from tests.images.generated_normals import SURFACES, Array, codes, encoded_file, height_field

PADDINGS = ("flat", "black", "grey", "extended")
LAYOUTS = ("cells", "rectangles", "discs")
_SIZE = 256


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One encoded sheet and what is known of it."""

    padding: str
    layout: str
    green_up: bool
    suffix: str
    data: bytes

    @property
    def words(self) -> str:
        return f"{self.layout} in {self.padding}, {self.suffix}"


def sheet_of_islands(
    rng: np.random.Generator, padding: str, layout: str, *, green_up: bool
) -> Sheet:
    """Return a sheet with noise, or of a JPEG, as chance will have it.

    Heights are turned and mirrored in the sheet, normals are then taken in the sheet's own
    directions, as tangent space asks for (glTF 2.0, section 3.9.3). Each island leans as a whole,
    as it does where the mesh below it is bent.
    """
    places = _places(rng, layout)
    vectors = np.zeros((_SIZE, _SIZE, 3))
    vectors[..., 2] = 1.0
    filled = np.zeros((_SIZE, _SIZE), dtype=np.bool_)
    for number in np.unique(places[places >= 0]):
        core = _eroded(places == number, int(rng.integers(2, 4)))
        vectors[core] = _surface(rng, green_up)[core]
        filled |= core
    if padding == "extended":
        _extend(vectors, filled)
    elif padding != "flat":
        vectors[~filled] = {"black": -1.0, "grey": 0.0}[padding]
    noise = rng.normal(0.0, float(rng.choice((0.0, 0.01, 0.03))), vectors.shape)
    values = np.clip(vectors / 2 + 0.5 + noise, 0.0, 1.0)
    form = str(rng.choice(("png8", "jpeg", "jpeg_fine", "jpeg_as_png")))
    suffix, data = encoded_file(values, form, int(rng.integers(60, 97)))
    return Sheet(padding=padding, layout=layout, green_up=green_up, suffix=suffix, data=data)


def unrelated(rng: np.random.Generator) -> bytes:
    """Return a PNG whose red and green are slopes of no surface: two unrelated fields."""
    first, second = (
        height_field(rng, SURFACES[int(rng.integers(len(SURFACES)))], _SIZE) for _ in range(2)
    )
    scale = float(rng.uniform(0.05, 0.4))
    slopes = [scale * field / field.std() for field in (first, second)]
    vectors = np.dstack([*slopes, np.ones_like(first)])
    vectors /= np.linalg.norm(vectors, axis=2, keepdims=True)
    return bytes(imagecodecs.png_encode(codes(vectors / 2 + 0.5), 1))


def flipped(data: bytes) -> bytes:
    """Return a picture as PNG with its green turned round; stored, as packing takes longer."""
    pixels = np.array(Image.open(io.BytesIO(data)).convert("RGB"))
    pixels[..., 1] = 255 - pixels[..., 1]
    return bytes(imagecodecs.png_encode(pixels, 0))


def _places(rng: np.random.Generator, layout: str) -> NDArray[np.intp]:
    y, x = np.mgrid[0:_SIZE, 0:_SIZE]
    if layout == "rectangles":
        row = y * 3 // _SIZE
        return np.asarray(row * 8 + x * (2 + row) // _SIZE)
    seeds = rng.uniform(0, _SIZE, (int(rng.integers(6, 16)), 2))
    apart = (x[..., None] - seeds[:, 0]) ** 2 + (y[..., None] - seeds[:, 1]) ** 2
    nearest = np.argmin(apart, axis=2)
    if layout == "discs":
        return np.where(apart.min(axis=2) < (0.12 * _SIZE) ** 2, nearest, -1)
    return np.asarray(nearest)


def _surface(rng: np.random.Generator, green_up: bool) -> Array:
    field = height_field(rng, SURFACES[int(rng.integers(len(SURFACES)))], _SIZE)
    wide = Image.fromarray(np.tile(field, (2, 2)).astype(np.float32))
    turned = np.asarray(wide.rotate(float(rng.uniform(0, 360)), Image.Resampling.BILINEAR))
    part = turned[_SIZE // 2 : _SIZE // 2 + _SIZE, _SIZE // 2 : _SIZE // 2 + _SIZE]
    part = part[:, ::-1] if rng.integers(2) else part
    down, right = np.gradient(part.astype(np.float64))
    steep = float(np.sqrt(np.mean(right**2 + down**2))) + 1e-9
    scale, lean = float(rng.uniform(0.03, 0.7)) / steep, rng.normal(0, 0.25, 2)
    slope_down = down * scale + lean[1]
    up = slope_down if green_up else -slope_down
    vectors = np.dstack([-(right * scale + lean[0]), up, np.ones_like(right)])
    return np.asarray(vectors / np.linalg.norm(vectors, axis=2, keepdims=True))


_NEIGHBOURS = ((1, 0), (-1, 0), (1, 1), (-1, 1))


def _eroded(mask: NDArray[np.bool_], times: int) -> NDArray[np.bool_]:
    for _ in range(times):
        mask = np.logical_and.reduce([mask, *(np.roll(mask, s, a) for s, a in _NEIGHBOURS)])
    return mask


def _extend(vectors: Array, filled: NDArray[np.bool_]) -> None:
    """Carry the edges of the islands outwards until nothing is left between them."""
    filled = filled.copy()
    while not filled.all():
        for step, axis in _NEIGHBOURS:
            new = np.roll(filled, step, axis) & ~filled
            vectors[new] = np.roll(vectors, step, axis)[new]
            filled |= new
