"""PC102: what a file says of its colour is not what the slot makes of it."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every colour picture whose own statement is passed over.

    An sRGB statement in a data map is no finding: writers stamp it on everything, and it
    harms nothing once the slot is explicit.
    """
    for image in readings.images:
        header = image.record.header
        if header is None or image.reading in (DATA, "unknown"):
            continue
        ruling = next((s for s in header.statements if s.firm), None)
        if ruling is None or ruling.reading in (image.reading, DATA, None):
            continue
        if image.reading.removesuffix("_display") == ruling.reading.removesuffix("_scene"):
            continue
        yield finding(
            "header_contradicts_slot",
            image.record.path,
            f"The file says {ruling.reading}, but it is to be read as {image.reading}. "
            f"Its statement: {ruling.words}.",
            "If the file is right, convert the picture to "
            f"{image.reading}; if not, remove the statement from the file.",
        )
