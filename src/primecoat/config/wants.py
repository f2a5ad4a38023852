"""What the uses of one file want it to be read as, over all images of a scene.

A file rule gives red, green and blue of a file one reading. So data in green and a colour in red
cannot both be had, though they are no conflict in the scene, where each slot picks its channels.
Alpha is left out: no colour space touches it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.ids import UNKNOWN
from primecoat.reading.judgement import ImageReading


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A reading, and which use wants it, in words; the first of many speaks for them."""

    reading: str
    who: str


def all_wants(images: Sequence[ImageReading]) -> dict[Path, tuple[Want, ...]]:
    """Return what is wanted of each file: known readings only, each once.

    A tile that is also used by itself hears both uses.
    """
    found: dict[Path, dict[str, Want]] = {}
    for image in images:
        wants = _of_image(image)
        for file in image.record.files:
            mine = found.setdefault(file, {})
            for want in wants:
                mine.setdefault(want.reading, want)
    return {file: tuple(wants.values()) for file, wants in found.items()}


def _of_image(image: ImageReading) -> list[Want]:
    if not image.uses:
        known = image.reading != UNKNOWN
        return [Want(reading=image.reading, who="the picture itself")] if known else []
    wants = []
    for use in image.uses:
        written = use.scene_use.use
        if written.channels != "a" and use.judgement.reading != UNKNOWN:
            who = f"{written.slot} of {written.owner} in {use.scene_use.scene.name}"
            wants.append(Want(reading=use.judgement.reading, who=who))
    return wants
