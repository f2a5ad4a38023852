"""PC201: a picked colour whose space nobody says."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import UNKNOWN
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every colour value with unknown reading and no declared name."""
    for colour in (*readings.colours, *readings.lights):
        if colour.reading == UNKNOWN and colour.value.declared in (None, "", UNKNOWN):
            yield finding(
                "colour_space_of_value_unknown",
                colour.scene.name,
                f"At {colour.value.location.place} stands a colour of {colour.value.owner}, and "
                "nothing says in which working space it was picked.",
                "Declare it in the scene, or say --from SPACE (for example lin_rec709_scene).",
                colour.value.location,
            )
