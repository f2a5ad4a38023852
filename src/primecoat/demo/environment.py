"""Pictures taken in the courtyard: the panorama that lights the scene, and a photograph."""

from __future__ import annotations

import numpy as np

from primecoat.colour.ocio import through_view
from primecoat.demo.courtyard import Courtyard, Vectors, radiance
from primecoat.demo.noise import Shape, blur, cloud, grid
from primecoat.demo.paint import Picture

PLACE = (0.0, 1.15, 0.6)
"""Where the tea table stands, in metres."""


def panorama(court: Courtyard, shape: Shape) -> Picture:
    """Return all light that arrives at the table, as a latitude-longitude picture.

    Parameters
    ----------
    court
        The courtyard.
    shape
        Height and width in pixels, 1 : 2.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 3), linear Rec.709; up is the top row, +z the middle column and +x a
        quarter to the left of it, as OpenEXR and OpenUSD (``DomeLight``) have it.
    """
    total = np.zeros((*shape, 3), dtype=np.float32)
    u, v = grid(shape)
    for shift_u, shift_v in _SAMPLES:
        around = (u + shift_u / shape[1] - 0.5) * (2 * np.pi)
        up = (0.5 - v - shift_v / shape[0]) * np.pi
        level = np.cos(up)
        rays = np.stack((-np.sin(around) * level, np.sin(up), np.cos(around) * level), axis=-1)
        total += radiance(court, PLACE, _flat(rays)).reshape(total.shape) / len(_SAMPLES)
    return total


def photograph(court: Courtyard, shape: Shape) -> Picture:
    """Return a photograph of the courtyard as it left the camera: ready for a display.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, 3), 0 to 1, display values for an sRGB screen.
    """
    height, width = shape
    total = np.zeros((height, width, 3), dtype=np.float32)
    u, v = grid(shape)
    for shift_u, shift_v in _SAMPLES:
        across = (u + shift_u / width - 0.5) * 1.15
        down = (v + shift_v / height - 0.5) * 1.15 * height / width
        turned = across * np.cos(0.24) - np.sin(0.24)
        ahead = -np.cos(0.24) - across * np.sin(0.24)
        rays = np.stack((turned, -down - 0.02, ahead), axis=-1)
        rays = rays / np.linalg.norm(rays, axis=-1, keepdims=True)
        total += radiance(court, (0.6, 1.5, 3.2), _flat(rays)).reshape(total.shape) / len(_SAMPLES)
    vignette = 1 - 0.45 * ((u - 0.5) ** 2 + (v - 0.5) ** 2)
    exposed = np.minimum(total, 40) * (1.9 * vignette)[..., None]
    shown = through_view(exposed, "lin_rec709_scene")
    soft = np.stack([blur(shown[..., k], 0.7) for k in range(3)], axis=-1)
    noise = np.stack([cloud(shape, 161 + k, 200.0, 0.8) for k in range(3)], axis=-1)
    return np.clip(soft + 0.008 * noise * (1.1 - soft), 0, 1).astype(np.float32)


def seen(light: Picture, exposure: float) -> Picture:
    """Return scene light as a display would show it, 0 to 1, sRGB screen."""
    return np.clip(through_view(np.minimum(light, 200) * exposure, "lin_rec709_scene"), 0, 1)


_SAMPLES = ((-0.25, -0.25), (0.25, 0.25))
"""Where each pixel is looked through, in pixels from its middle."""


def _flat(rays: Picture) -> Vectors:
    return np.ascontiguousarray(rays.reshape(-1, 3), dtype=np.float32)
