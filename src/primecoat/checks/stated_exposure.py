"""PC315: an environment that states an exposure or primaries which most readers pass over."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_PASSED_OVER = ("Radiance EXPOSURE", "Radiance COLORCORR", "Radiance PRIMARIES")


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for Radiance pictures whose header changes what their numbers mean."""
    for image in readings.images:
        header = image.record.header
        if header is None:
            continue
        said = [
            statement.words
            for statement in header.statements
            if statement.kind in _PASSED_OVER
            and (statement.kind != "Radiance PRIMARIES" or statement.firm)
        ]
        if said:
            yield finding(
                "exposure_or_primaries_stated",
                image.record.path,
                f"Its header says: {'; '.join(said)}. Where that is passed over, the light comes "
                "out too strong or too weak, or in the wrong hue.",
                "The bake route writes it out plainly. Else set the light's exposure and colour "
                "space by hand, and look whether your program honours the header.",
            )
