"""PC103, PC107: an image is wanted two ways, or strong witnesses contradict each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.asked import Again
from primecoat.reading.judgement import ImageReading
from primecoat.reading.policy import policy
from primecoat.reading.readings import Readings
from primecoat.reading.two_ways import FILE_EACH, two_ways_words, wanted_two_ways
from primecoat.reading.weigh import disputes, outvoted
from primecoat.scenes.model import DATA_SLOTS
from primecoat.scenes.registry import FORMATS


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for images that are ``conflicting``, or wanted two ways whatever was said."""
    for image in readings.images:
        wanted = wanted_two_ways(image)
        if wanted:
            yield _uses_differ(image, wanted)
        elif image.standing == "conflicting":
            yield _witnesses_differ(image, readings.again)


def _uses_differ(image: ImageReading, wanted: Sequence[str]) -> Finding:
    said = f" The decision for {image.reading} holds for one of them only."
    return finding(
        "one_picture_two_readings",
        image.record.path,
        two_ways_words(wanted) + (said if image.standing == "overruled" else ""),
        FILE_EACH,
    )


def _witnesses_differ(image: ImageReading, again: Again) -> Finding:
    strong = policy().weight("standing", "strong")
    pairs = (*disputes(image.evidence, strong), outvoted(image.evidence, strong))
    said = " But: ".join(item.words for item in pairs[0]) if pairs[0] else "See 'primecoat why'."
    return finding(
        "witnesses_disagree",
        image.record.path,
        f"Strong evidence contradicts itself. {said}",
        _way_forward(image, again),
    )


def _way_forward(image: ImageReading, again: Again) -> str:
    """Return what to do: in slots that take data, the picture is data if it belongs there."""
    speaking = [u.scene_use for u in image.uses if u.scene_use.use.channels != "a"]
    if not speaking or any(u.use.slot not in DATA_SLOTS for u in speaking):
        return "Look at the picture, then say which is right with 'primecoat decide'."
    decide = again.command("decide", image.record.path, DATA)
    first = speaking[0]
    then = (
        f"; then {again.command('plan', '--route', 'declare')} writes it into the scene"
        if FORMATS[first.scene.format].DECLARES
        else ""
    )
    return (
        f"What belongs in a {first.use.slot} slot is data, whatever is declared: if this is the "
        f"right picture there, say so: {decide}{then}."
    )
