"""PC311: a base colour that looks as if a view had been baked into it."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_PILED_UP = 1.5
_PALE = 0.5
_CUT = 0.002


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a note where lights pile up below white and lose their colour, without a hard cut."""
    for image in readings.images:
        statistics = image.record.statistics
        if statistics is None or image.content != "base_color" or image.reading == DATA:
            continue
        tone = statistics.tone
        if (
            tone is not None
            and tone.soft_high is not None
            and tone.pale_lights is not None
            and tone.soft_high >= _PILED_UP
            and tone.pale_lights <= _PALE
            and tone.cut_high <= _CUT
        ):
            yield finding(
                "tone_curve_suspected",
                image.record.path,
                f"Its lights pile up below white ({tone.soft_high:.1f} times as many in the last "
                f"step as before it) and are pale ({tone.pale_lights:.0%} of the saturation of its "
                "middle), as a film-like view makes them. Reflectance has no such shoulder.",
                "If it was photographed or rendered through a view, develop it again without one. "
                "A pale subject looks the same and can stay.",
            )
