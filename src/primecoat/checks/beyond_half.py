"""PC306: light that a half float cannot hold, or that one has cut off."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for values above 65504, and for half floats that sit on it."""
    for image in readings.images:
        statistics, header = image.record.statistics, image.record.header
        if statistics is None or header is None or header.integer:
            continue
        highest = max((c.maximum for c in statistics.channels), default=0.0)
        if highest > HALF_LARGEST:
            yield finding(
                "values_exceed_half_float",
                image.record.path,
                f"It reaches {highest:.6g}; a half float ends at 65504 and turns more into "
                "infinity.",
                "Keep it as 32-bit float through every step, or scale it and raise the exposure "
                "of the light by as much.",
            )
        elif header.pixel_type == "half" and highest == HALF_LARGEST:
            held = max(c.at_maximum for c in statistics.channels if c.maximum == highest)
            yield finding(
                "values_exceed_half_float",
                image.record.path,
                f"{held} pixels hold 65504, the end of half float: brighter light was cut off "
                "there when it was saved.",
                "Save it again from its source as 32-bit float.",
            )
