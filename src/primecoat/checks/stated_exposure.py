"""PC315: an environment that states an exposure or primaries which most readers pass over."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.images.radiance import FACTORS
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_PASSED_OVER = (*FACTORS, "Radiance PRIMARIES")


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for Radiance pictures whose header changes what their numbers mean."""
    for image in readings.images:
        header = image.record.header
        if header is None:
            continue
        said = {
            statement.words: statement.kind
            for statement in header.statements
            if statement.kind in _PASSED_OVER
            and (statement.kind != "Radiance PRIMARIES" or statement.firm)
        }
        if said:
            yield finding(
                "exposure_or_primaries_stated",
                image.record.path,
                f"Its header says: {'; '.join(said)}. Where that is passed over, the light comes "
                "out too strong or too weak, or in the wrong hue.",
                _remedy(
                    image, readings.to_space, multiplied=not {*FACTORS}.isdisjoint(said.values())
                ),
            )


def _remedy(image: ImageReading, to_space: str, multiplied: bool) -> str:
    """Return what helps: a bake only where the bake route does write the picture."""
    if image.reading == DATA:
        return "Write it again without these lines where it was made: data is never baked."
    if image.reading == to_space and not multiplied:
        return (
            f"Its numbers are in {to_space} already, so no bake is planned: see that your program "
            "reads them so; a tag in the name or a declaration tells it."
        )
    return (
        "The bake route writes it out plainly. Else set the light's exposure and colour "
        "space by hand, and look whether your program honours the header."
    )
