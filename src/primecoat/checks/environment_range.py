"""PC106: an environment that cannot hold the range of light."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every environment stored in integers."""
    for image in readings.images:
        header = image.record.header
        as_environment = any(
            u.scene_use.use.slot == "environment" and u.scene_use.use.fixed is None
            for u in image.uses
        )
        if as_environment and header is not None and header.integer:
            yield finding(
                "environment_is_not_high_range",
                image.record.path,
                f"This environment holds {header.pixel_type.removeprefix('uint')} bits a channel: "
                "its sun and lamps are cut off at white, so it cannot light a scene rightly.",
                "Use the high-range original (.exr or .hdr) if there is one.",
            )
