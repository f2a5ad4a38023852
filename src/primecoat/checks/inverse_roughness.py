"""PC318: glossiness where roughness is wanted, or the other way round."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_OPPOSITE = {"roughness": "glossiness", "glossiness": "roughness"}


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for a map in the slot of its opposite, as its inverse in the set tells.

    Uses through a node that inverts the map are noted under the slot of the opposite already.
    """
    for image in readings.images:
        against = _against(image)
        if not against:
            continue
        slots = {use.scene_use.use.slot for use in image.uses}
        wrong = _OPPOSITE.get(image.content, "")
        if wrong in slots:
            yield finding(
                "roughness_is_inverted",
                image.record.path,
                f"{against} Yet the {wrong} slot takes it: what should be matt will shine, and "
                "what should shine will be matt.",
                f"Use the {wrong} map of the set there, or invert this one (1 - value) in the "
                "material.",
            )
        elif "one of the two" in against:
            yield finding(
                "roughness_is_inverted",
                image.record.path,
                f"{against} Nobody can tell by the pixels which one it is.",
                "Look at both on the object, and rename the one that is the inverse.",
            )


def _against(image: ImageReading) -> str:
    """Return what the set says of its inverse, or an empty text."""
    for item in image.evidence:
        if item.witness == "siblings" and "exact inverse" in item.words:
            return item.words
    return ""
