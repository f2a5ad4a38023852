"""PC108: the scene declares a colour space that nobody knows."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import READINGS, UNKNOWN
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_OFTEN_MEANT = (
    ("ap1", "lin_ap1_scene"),
    ("aces", "lin_ap1_scene"),
    ("lin", "lin_rec709_scene"),
    ("srgb", "srgb_rec709_scene"),
    ("709", "srgb_rec709_scene"),
)
"""Letters in a loose name, and what its writer often means (common practice, no source)."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every declared name that stands for no reading."""
    for image in readings.images:
        for use in image.uses:
            said = use.scene_use.use
            if said.declared and said.declared != UNKNOWN and said.declared_reading is None:
                yield _finding(image.record.path, said.declared, said.definition, said.declared_at)
    for colour in (*readings.colours, *readings.lights):
        declared = colour.value.declared
        if declared and declared != UNKNOWN and colour.reading == UNKNOWN:
            value = colour.value
            yield _finding(colour.scene.name, declared, value.definition, value.declared_at)


def _finding(where: str, declared: str, definition: str, location: object) -> Finding:
    name = declared.lower()
    near = [reading for letters, reading in _OFTEN_MEANT if letters in name][:1]
    return finding(
        "declared_space_is_not_known",
        where,
        f"The scene declares the colour space {declared!r}, which is no known name"
        + (f": {definition}" if definition else "")
        + (f" (at {location})." if location else "."),
        f"Write {near[0]} if you mean that, or another of: {', '.join(READINGS)}."
        if near
        else f"Write one of: {', '.join(READINGS)}.",
    )
