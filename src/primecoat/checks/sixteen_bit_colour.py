"""PC105: a 16-bit colour picture that states no colour space."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import DATA
from primecoat.findings import Finding, finding
from primecoat.reading.names import split_name
from primecoat.reading.readings import Readings
from primecoat.scenes.model import COLOUR_SLOTS


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for 16-bit integer colour with neither statement, token nor declaration."""
    for image in readings.images:
        header = image.record.header
        declared = bool(image.uses) and all(u.scene_use.use.declared for u in image.uses)
        if (
            header is not None
            and header.pixel_type == "uint16"
            and image.reading != DATA
            and image.content in COLOUR_SLOTS
            and not header.statements
            and not declared
            and split_name(image.record.name).token_reading is None
        ):
            yield finding(
                "sixteen_bit_colour_without_statement",
                image.record.path,
                "A 16-bit colour picture that says nothing of its colour: an automatic choice "
                "takes 8-bit pictures for sRGB and this one for linear.",
                "Make its reading explicit with the tag route, or declare it.",
            )
