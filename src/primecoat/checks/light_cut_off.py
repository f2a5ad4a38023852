"""PC305: an environment whose sun or lamps end in a flat top."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every high-range environment whose maximum is a plateau."""
    for image in readings.images:
        statistics, header = image.record.statistics, image.record.header
        if statistics is None or header is None or header.integer or image.content != "environment":
            continue
        light = statistics.range
        if light is not None and light.plateau:
            yield finding(
                "light_is_cut_off",
                image.record.path,
                f"{light.plateau} pixels share the greatest value ({light.highest:.6g}), within "
                f"{light.plateau_columns} x {light.plateau_rows} pixels: the sun or a lamp was cut "
                "off there, so that it lights and shadows too weakly.",
                "Use an original with more range, or set a light of the true strength in its "
                "place. A lamp that is really flat can stay.",
            )
