"""PC303: pixels that are no numbers, or infinite."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every picture that holds NaN or Inf; the counts are of all pixels."""
    for image in readings.images:
        statistics = image.record.statistics
        if statistics is None:
            continue
        bad = [
            f"{name}: {nan} NaN, {infinite} infinite"
            for name, nan, infinite in (
                (channel.name, channel.nan, channel.infinite) for channel in statistics.channels
            )
            if nan or infinite
        ]
        if bad:
            yield finding(
                "pixels_are_no_numbers",
                image.record.path,
                f"It holds values that are no finite numbers ({'; '.join(bad)}). One such pixel "
                "spreads over its neighbours wherever the picture is filtered.",
                "Render or export it again; if there is no source, replace these pixels by their "
                "neighbours in a copy.",
            )
