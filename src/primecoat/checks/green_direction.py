"""PC309: a normal map whose green points the other way than its scene wants."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_UP_IN = "glTF"
"""glTF 2.0, section 3.9.3: green points up. The other formats leave it to the renderer."""

_FLIP = (
    "Flip the green channel in a copy (1 - green), or in the material if it has a switch for it."
)


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding where the standard fixes the direction, or where one map differs from most.

    The direction is taken from integrability; maps that leave it undecided are left out. A map
    whose red was flipped instead has the same curl: then bumps look like dents from the sides.
    """
    told = [(image, direction) for image in readings.images if (direction := _green(image))]
    counts = Counter(direction for _, direction in told)
    usual = counts.most_common(1)[0][0] if counts else ""
    most = counts[usual] >= 2 * (counts.total() - counts[usual]) and counts[usual] >= 2
    for image, direction in told:
        if _fixed_up(image):
            if direction == "down":
                yield finding(
                    "green_direction_differs",
                    image.record.path,
                    "Its green points down (or its red to the left): only so are its slopes those "
                    f"of one surface, in {_squares(image)}. glTF wants green to point up, so dents "
                    "will look like bumps from above and below.",
                    _FLIP,
                )
        elif most and direction != usual:
            yield finding(
                "green_direction_differs",
                image.record.path,
                f"Its green points {direction} (in {_squares(image)}), that of {counts[usual]} "
                f"other normal maps here points {usual}. Under one setting of the material one "
                "kind is lit wrongly.",
                _FLIP,
            )


def _green(image: ImageReading) -> str:
    statistics = image.record.statistics
    if image.content != "normal" or statistics is None or statistics.green is None:
        return ""
    direction = statistics.green.green
    return "" if direction == "undecided" else direction


def _squares(image: ImageReading) -> str:
    statistics = image.record.statistics
    green = statistics.green if statistics is not None else None
    return f"{green.same_side if green else 0.0:.0%} of the squares that tell anything"


def _fixed_up(image: ImageReading) -> bool:
    return any(
        use.scene_use.use.slot == "normal" and use.scene_use.use.standard.startswith(_UP_IN)
        for use in image.uses
    )
