"""PC311: a base colour that looks as if a view had been baked into it."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import SPACES
from primecoat.findings import Finding, finding
from primecoat.images.tone_shape import ToneShape
from primecoat.reading.readings import Readings

LEAST_UNEVEN = 1.05
"""Slope of the weakest channel's steps over the strongest's from which a curve is suspected."""

LEAST_ALIKE = 0.9
"""Correlation of the steps from which light is what changes."""

LEAST_CHROMA = 0.8
"""Fine detail of chroma, against coarse, below which a codec took it and nothing can be told.

The limits are from the rates that ``python -m evaluation.tone`` prints; see the finding's page.
"""


def looks_curved(
    tone: ToneShape, *, uneven: float = LEAST_UNEVEN, alike: float = LEAST_ALIKE
) -> bool:
    """Whether a measure is beyond the limits."""
    return tone.uneven >= uneven and tone.alike >= alike and tone.chroma_kept >= LEAST_CHROMA


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a note where the channels of encoded colour step unevenly under one light."""
    for image in readings.images:
        statistics, space = image.record.statistics, SPACES.get(image.reading)
        if statistics is None or space is None or space.linear or image.content != "base_color":
            continue
        tone = statistics.tone
        if tone is not None and looks_curved(tone):
            yield finding(
                "tone_curve_suspected",
                image.record.path,
                f"Where its light changes, the weakest channel changes {tone.uneven:.2f} times as "
                "much as the strongest, as under a film-like view. Light on plain reflectance "
                "changes all channels by one factor.",
                "If it was photographed or rendered through a view, develop it again without one. "
                "Pigments of uneven strength look the same and can stay.",
            )
