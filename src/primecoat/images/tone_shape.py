"""Clues of a tone curve baked into a picture: soft ends of the scale, pale highlights.

A film-like view compresses highlights into a shoulder and shadows into a toe (ISO 14524 measures
such curves; Hunt, *The Reproduction of Colour*, 6th ed., chapter 6), and its highlights lose
colour on the way to white. An albedo picture has neither: it ends where its surfaces end, or is
cut off hard. These are clues only; a pale subject may look the same.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneShape:
    """The ends of the scale over the sample, as stored.

    Parameters
    ----------
    cut_low, cut_high
        Share of pixels at the very ends (within half a code of 255): a hard clip.
    soft_high
        Pixels in the last twentieth below the end against those in the twentieth before: a
        shoulder piles them up (above 1), a distribution that runs out thins (below 1); None where
        there are too few.
    soft_low
        The same at the dark end.
    pale_lights
        Saturation of the lightest 2 % against that of the middle half: far below 1 where
        highlights lose colour; None for grey pictures.
    """

    cut_low: float
    cut_high: float
    soft_high: float | None
    soft_low: float | None
    pale_lights: float | None


def measure_tone(values: Floats) -> ToneShape | None:
    """Measure one or three channels.

    Parameters
    ----------
    values
        Shape (channels, pixels): finite, integers scaled to 0 to 1.
    """
    if not values.size:
        return None
    peak, low = values.max(axis=0), values.min(axis=0)
    top, bottom = 1.0 - 0.5 / 255, 0.5 / 255
    inner = values.mean(axis=0)
    counts, _ = np.histogram(inner, bins=20, range=(bottom, top))
    return ToneShape(
        cut_low=float(np.mean(peak <= bottom)),
        cut_high=float(np.mean(peak >= top)),
        soft_high=_ratio(int(counts[-1]), int(counts[-2])),
        soft_low=_ratio(int(counts[0]), int(counts[1])),
        pale_lights=_pale(inner, peak, low),
    )


def _ratio(last: int, before: int) -> float | None:
    return last / before if before >= 32 else None


def _pale(inner: Floats, peak: Floats, low: Floats) -> float | None:
    saturation = (peak - low) / np.maximum(peak, np.float32(1e-3))
    first, third, light = np.quantile(inner, (0.25, 0.75, 0.98))
    middle = saturation[(inner >= first) & (inner <= third)]
    if not middle.size or float(middle.mean()) < 0.03:
        return None
    return float(saturation[inner >= light].mean() / middle.mean())
