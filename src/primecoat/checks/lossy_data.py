"""PC313: numbers that a lossy picture format has changed."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_STRENGTH = 0.25
_ERRORS = 6.0


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for data maps that show the blocks of JPEG, whatever they are saved as."""
    for image in readings.images:
        statistics = image.record.statistics
        if statistics is None or image.reading != DATA or statistics.blocks is None:
            continue
        blocks = statistics.blocks
        if blocks.strength >= _STRENGTH and blocks.errors >= _ERRORS:
            yield finding(
                "data_was_stored_lossy",
                image.record.path,
                f"Steps at every eighth pixel are {blocks.strength:.0%} greater than between: "
                "blocks of JPEG. In a normal, height or roughness map they show as a grid in the "
                "highlights.",
                "Export it again from its source without loss. Saving this file as another format "
                "keeps the blocks.",
            )
