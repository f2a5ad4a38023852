"""A surface: relief, reflectance and finish, from which all maps of one material are taken."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from evaluation.contents.content import Floats, Rng, Shape
from primecoat.demo.noise import blur, cloud
from primecoat.demo.paint import unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """One material, sampled on a grid of pixels; all fields are of shape (height, width).

    Parameters
    ----------
    name
        What it is, as a word for a file name.
    reflectance
        Shape (height, width, 3): linear light, Rec.709 primaries.
    height
        0 (deep) to 1 (high).
    roughness
        0 (mirror) to 1 (matt).
    metalness
        0 or 1, and between only on the borders.
    labels
        Number of the piece (brick, plank, tile) that a pixel belongs to.
    opacity
        1 where there is something, else 0; None if it is everywhere.
    """

    name: str
    reflectance: Floats
    height: Floats
    roughness: Floats
    metalness: Floats
    labels: Floats
    opacity: Floats | None = None

    @property
    def shape(self) -> Shape:
        """Height and width in pixels."""
        return self.height.shape[0], self.height.shape[1]


def build(
    name: str,
    height: np.ndarray,
    reflectance: np.ndarray,
    roughness: np.ndarray | float,
    *,
    metalness: np.ndarray | float = 0.0,
    labels: np.ndarray | None = None,
    opacity: np.ndarray | None = None,
) -> Surface:
    """Return a surface of fields that may still lie outside their range."""
    full = np.ones(height.shape, dtype=np.float32)
    return Surface(
        name=name,
        reflectance=np.clip(reflectance, 0.004, 0.98).astype(np.float32),
        height=unit(height.astype(np.float32)) if np.ptp(height) > 1e-6 else full * 0.5,
        roughness=np.clip(roughness * full, 0.0, 1.0).astype(np.float32),
        metalness=np.clip(metalness * full, 0.0, 1.0).astype(np.float32),
        labels=(full * 0 if labels is None else labels).astype(np.float32),
        opacity=None if opacity is None else np.clip(opacity, 0, 1).astype(np.float32),
    )


def shade_pieces(rng: Rng, numbers: np.ndarray, swatches: np.ndarray, spread: float) -> np.ndarray:
    """Return a reflectance for each pixel by the random number (0 to 1) of its piece."""
    chosen = swatches[(numbers * 7919).astype(int) % len(swatches)]
    lightness = np.exp(spread * np.sin(numbers * float(rng.uniform(20.0, 90.0))))
    return np.asarray(chosen * lightness[..., None])


def grain(rng: Rng, shape: Shape, slope: float = 1.4, coarsest: float = 4.0) -> Floats:
    """Return noise of mean 0 and deviation 1."""
    return np.asarray(cloud(shape, int(rng.integers(1 << 31)), coarsest, slope), np.float32)


def weathered(rng: Rng, surface: Surface) -> Surface:
    """Return a surface after use: dirt gathers low, edges are rubbed, all in random measure."""
    dirt = np.clip((0.6 - surface.height) * rng.uniform(0, 1.4), 0, 1)
    dirt = dirt * np.clip(0.5 + 0.5 * grain(rng, surface.shape, 2.0), 0, 1)
    grime = np.array([0.05, 0.04, 0.03]) * rng.uniform(0.5, 2.0)
    reflectance = surface.reflectance * (1 - dirt[..., None]) + grime * dirt[..., None]
    roughness = (
        surface.roughness + 0.3 * dirt + 0.05 * rng.uniform(0, 1) * grain(rng, surface.shape)
    )
    return replace(
        surface,
        reflectance=reflectance.astype(np.float32),
        roughness=np.clip(roughness, 0, 1).astype(np.float32),
    )


def occlusion(height: Floats, radius: float, depth: float) -> Floats:
    """Return ambient occlusion, 0 (shut in) to 1 (open), guessed from how deep a place lies."""
    deep = np.maximum(blur(height, radius) - height, 0.0) + 0.5 * np.maximum(
        blur(height, radius * 3) - height, 0.0
    )
    return np.clip(np.exp(-depth * deep), 0.0, 1.0).astype(np.float32)
