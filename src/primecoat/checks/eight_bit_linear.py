"""PC115: a picture with 8 bits a channel that is said to be linear."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import SPACES
from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every 8-bit picture that is read as linear and no person said so.

    That 8 bits are encoded for a display, and linear light in them bands: common practice, no
    source.
    """
    for image in readings.images:
        header, space = image.record.header, SPACES.get(image.reading)
        if header is None or header.pixel_type != "uint8" or image.standing == "overruled":
            continue
        if space is None or not space.linear:
            continue
        said = next((e.words for e in image.evidence if e.claim == image.reading), "")
        yield finding(
            "eight_bits_called_linear",
            image.record.path,
            f"It is read as {image.reading}, but holds 8 bits a channel: such pictures are mostly "
            f"sRGB-encoded, and linear light in 8 bits shows bands. {said}".rstrip(),
            "Look at the picture, then say what it is with 'primecoat decide': srgb_rec709_scene, "
            f"or {image.reading} if that is right.",
        )
