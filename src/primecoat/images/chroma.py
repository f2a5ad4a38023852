"""How colourful a picture is, and how light its albedo would be, under the sRGB reading.

Chroma is ``max - min`` of the channels and saturation ``(max - min) / max`` (Smith, *Color gamut
transform pairs*, SIGGRAPH 1978), both of the stored numbers. Linear luminance is that of the sRGB
decoding (IEC 61966-2-1) with the weights of Rec. ITU-R BT.709.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.images.curves import srgb_to_light

Floats = NDArray[np.float32]

PERCENTILES = (1.0, 5.0, 25.0, 50.0, 75.0, 95.0, 99.0)
_LUMA = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
_GREY = 4.0 / 255.0
_TABLE = np.asarray(srgb_to_light(np.arange(4096) / 4095), dtype=np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChromaStatistics:
    """Colourfulness and lightness over the sample.

    Parameters
    ----------
    mean_chroma
        Mean of ``max - min``, 0 to 1 as stored.
    grey
        Share of pixels whose channels differ by up to 4 codes of 255.
    saturated
        Share of pixels with a saturation above 0.75 that are not nearly black.
    hue_spread
        Circular variance of the hue, weighted by chroma: 0 one hue, 1 all hues alike.
    linear_percentiles
        Linear luminance at :data:`PERCENTILES`, were the picture sRGB-encoded.
    stored_percentiles
        The same of the stored numbers, were they linear.
    """

    mean_chroma: float
    grey: float
    saturated: float
    hue_spread: float
    linear_percentiles: tuple[float, ...]
    stored_percentiles: tuple[float, ...]


def measure_chroma(triple: Floats) -> ChromaStatistics | None:
    """Measure three channels.

    Parameters
    ----------
    triple
        Shape (3, pixels): finite, integers scaled to 0 to 1.
    """
    if not triple.shape[1]:
        return None
    red, green, blue = triple
    high = np.maximum(np.maximum(red, green), blue)
    low = np.minimum(np.minimum(red, green), blue)
    chroma = high - low
    across = red - (green + blue) / 2
    upward = np.float32(np.sqrt(3.0) / 2) * (green - blue)
    long = float(np.sqrt(across * across + upward * upward).sum(dtype=np.float64))
    x, y = float(across.sum(dtype=np.float64)), float(upward.sum(dtype=np.float64))
    directed = float(np.hypot(x, y)) / long if long > 1e-6 * len(red) else 1.0
    steps = (np.clip(triple, 0.0, 1.0) * np.float32(4095)).astype(np.intp)
    linear = _LUMA @ _TABLE[steps]
    stored = _LUMA @ triple
    return ChromaStatistics(
        mean_chroma=float(chroma.mean(dtype=np.float64)),
        grey=float(np.mean(chroma <= _GREY)),
        saturated=float(np.mean((chroma > 0.75 * high) & (high > 0.05))),
        hue_spread=float(np.clip(1.0 - directed, 0.0, 1.0)),
        linear_percentiles=tuple(map(float, np.percentile(linear, PERCENTILES))),
        stored_percentiles=tuple(map(float, np.percentile(stored, PERCENTILES))),
    )
