"""PC304: a colour picture with values below zero."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings
from primecoat.scenes.model import COLOUR_SLOTS


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every float picture of colour that holds negative values."""
    for image in readings.images:
        statistics = image.record.statistics
        if statistics is None or image.reading == DATA or image.content not in COLOUR_SLOTS:
            continue
        colour = [statistics.channels[i] for i in statistics.colour]
        below = [c for c in colour if c.negative]
        if below:
            counts = ", ".join(f"{c.name}: {c.negative}, down to {c.minimum:.4g}" for c in below)
            yield finding(
                "colour_is_negative",
                image.record.path,
                f"It holds colour values below zero ({counts}, of {statistics.pixels} pixels): "
                "colours outside the primaries it is read with, or ringing of a sharp filter. "
                "As reflectance or light they take light away.",
                "Check that its colour space is the right one. If it is, convert it to a wider "
                "space; values that stay negative are for you to keep, clip or compress.",
            )
