"""PC103, PC107: an image is wanted two ways, or strong witnesses contradict each other."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.judgement import ImageReading
from primecoat.reading.policy import policy
from primecoat.reading.readings import Readings
from primecoat.reading.weigh import disputes, outvoted
from primecoat.scenes.model import DATA_SLOTS
from primecoat.scenes.registry import FORMATS


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every image whose standing is ``conflicting``."""
    for image in readings.images:
        if image.standing == "conflicting":
            yield _uses_differ(image) or _witnesses_differ(image)


def _uses_differ(image: ImageReading) -> Finding | None:
    wanted = {
        (u.judgement.reading, f"{u.scene_use.use.slot} of {u.scene_use.use.owner}")
        for u in image.uses
        if u.judgement.reading != "unknown" and u.scene_use.use.channels != "a"
    }
    if len({reading for reading, _ in wanted}) < 2:
        return None
    listed = ", ".join(f"{reading} in {slot}" for reading, slot in sorted(wanted))
    return finding(
        "one_picture_two_readings",
        image.record.path,
        f"The same channels are wanted two ways: {listed}.",
        "Give each use a file of its own in the scene.",
    )


def _witnesses_differ(image: ImageReading) -> Finding:
    strong = policy().weight("standing", "strong")
    pairs = (*disputes(image.evidence, strong), outvoted(image.evidence, strong))
    said = " But: ".join(item.words for item in pairs[0]) if pairs[0] else "See 'primecoat why'."
    return finding(
        "witnesses_disagree",
        image.record.path,
        f"Strong evidence contradicts itself. {said}",
        _way_forward(image),
    )


def _way_forward(image: ImageReading) -> str:
    """Return what to do: in slots that take data, the picture is data if it belongs there."""
    speaking = [u.scene_use for u in image.uses if u.scene_use.use.channels != "a"]
    if not speaking or any(u.use.slot not in DATA_SLOTS for u in speaking):
        return "Look at the picture, then say which is right with 'primecoat decide'."
    path = shlex.quote(image.record.path)
    first = speaking[0]
    then = (
        "; then primecoat plan TARGET --route declare writes it into the scene"
        if FORMATS[first.scene.format].DECLARES
        else ""
    )
    return (
        f"What belongs in a {first.use.slot} slot is data, whatever is declared: if this is the "
        f"right picture there, say so: primecoat decide TARGET {path} {DATA}{then}."
    )
