"""PC302: a picture that cannot be read."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every file that is there but cannot be read to its end."""
    for image in readings.images:
        for measure in image.record.measures:
            if measure.problem:
                yield finding(
                    "image_cannot_be_read",
                    image.record.path,
                    f"{measure.problem.rstrip('.')}.",
                    "Export it again, or restore it from a copy.",
                )
