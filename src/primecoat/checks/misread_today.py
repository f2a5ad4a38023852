"""PC114: it is known how a picture is read today, and that is not how it must be read."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.judgement import ImageReading, UseReading
from primecoat.reading.readings import Readings
from primecoat.reading.today import is_misread, numbers_are_changed
from primecoat.scenes.registry import FORMATS


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every image, and way of reading it, that is known and not right."""
    for image in readings.images:
        met: dict[tuple[str, str], UseReading] = {}
        for use in image.uses:
            if is_misread(use) and numbers_are_changed(use):
                met.setdefault((use.today, use.judgement.reading), use)
        for use in met.values():
            yield _finding(image, use)


def _finding(image: ImageReading, use: UseReading) -> Finding:
    said, needed = use.scene_use.use, use.judgement.reading
    likely = "is likely" if use.judgement.standing == "likely" else "is"
    return finding(
        "read_otherwise_today",
        image.record.path,
        f"It {likely} {needed} in {said.slot} of {said.owner}, but is read as {use.today} today: "
        f"{use.today_why}.",
        _remedy(use),
        said.declared_at or said.location,
    )


def _remedy(use: UseReading) -> str:
    said, needed = use.scene_use.use, use.judgement.reading
    form = FORMATS[use.scene_use.scene.format]
    first = "Confirm it with 'primecoat decide'. " if use.judgement.standing == "likely" else ""
    if not form.DECLARES:
        return f"Convert the picture to {use.today}, which the slot wants, or use it elsewhere."
    if needed in said.refuses or not form.space_name(needed):
        return f"{first}{form.STANDARD} has no word for {needed} there: bake it."
    return f"{first}The routes tag, declare and bake write into the scene how it must be read."
