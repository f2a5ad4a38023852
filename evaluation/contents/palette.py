"""Reflectances to paint with: linear light, Rec.709 primaries, within what real things reflect.

Dielectrics reflect between about 0.02 (charcoal) and 0.9 (fresh snow), metals between about 0.4 and
0.97 at normal incidence (common practice, no source).
"""

from __future__ import annotations

import colorsys

import numpy as np

from evaluation.contents.content import Floats, Rng

_FAMILIES: dict[str, tuple[tuple[float, float], tuple[float, float], tuple[float, float]]] = {
    # hue (turns), saturation, value as seen on a display
    "earth": ((0.02, 0.12), (0.15, 0.65), (0.2, 0.8)),
    "leaf": ((0.18, 0.36), (0.3, 0.8), (0.15, 0.7)),
    "dye": ((0.0, 1.0), (0.4, 0.95), (0.25, 0.95)),
    "pastel": ((0.0, 1.0), (0.05, 0.3), (0.65, 0.97)),
    "stone": ((0.05, 0.65), (0.0, 0.14), (0.3, 0.85)),
    "dark": ((0.0, 1.0), (0.0, 0.5), (0.06, 0.3)),
    "neutral": ((0.0, 1.0), (0.0, 0.0), (0.1, 0.95)),
}

METALS: dict[str, tuple[float, float, float]] = {
    "iron": (0.56, 0.57, 0.58),
    "aluminium": (0.91, 0.92, 0.92),
    "copper": (0.95, 0.64, 0.54),
    "gold": (1.0, 0.77, 0.34),
    "brass": (0.89, 0.79, 0.43),
    "chromium": (0.55, 0.56, 0.55),
}
"""Reflectance at normal incidence, Rec.709 linear, rounded (from memory of published indices of
refraction; only the look depends on it)."""


def swatch(rng: Rng, family: str) -> Floats:
    """Return one reflectance, shape (3,), of a family of surfaces."""
    hue, saturation, value = (float(rng.uniform(*limits)) for limits in _FAMILIES[family])
    seen = np.array(colorsys.hsv_to_rgb(hue % 1.0, saturation, value))
    return np.asarray(np.clip(decoded(seen), 0.015, 0.92), np.float32)


def near(rng: Rng, swatch: Floats, spread: float) -> Floats:
    """Return a reflectance like another one, in lightness mostly and a little in hue."""
    factor = np.exp(rng.normal(0.0, spread) + rng.normal(0.0, spread * 0.25, 3))
    return np.asarray(np.clip(swatch * factor, 0.01, 0.95), np.float32)


def decoded(seen: np.ndarray) -> np.ndarray:
    """Return linear light of sRGB-encoded values, 0 to 1. Source: IEC 61966-2-1:1999."""
    return np.where(seen <= 0.04045, seen / 12.92, ((seen + 0.055) / 1.055) ** 2.4)


def encoded(light: np.ndarray) -> np.ndarray:
    """Return sRGB-encoded values of linear light, 0 to 1. Source: IEC 61966-2-1:1999."""
    safe = np.maximum(light, 0.0)
    return np.asarray(np.where(safe <= 0.0031308, safe * 12.92, 1.055 * safe ** (1 / 2.4) - 0.055))
