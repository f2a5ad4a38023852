"""PC310: a base colour that no surface has."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.albedo import DARKEST, LIGHTEST
from primecoat.colour.ids import SPACES
from primecoat.findings import Finding, finding
from primecoat.images.chroma import PERCENTILES
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_MEDIAN = PERCENTILES.index(50.0)


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding where half of the picture lies beyond a limit, on linear values."""
    metal = {
        (use.scene_use.scene.name, use.scene_use.use.owner)
        for image in readings.images
        for use in image.uses
        if use.scene_use.use.slot == "metalness"
    }
    for image in readings.images:
        levels = _linear(image)
        if not levels:
            continue
        middle = levels[_MEDIAN]
        owners = {(u.scene_use.scene.name, u.scene_use.use.owner) for u in image.uses}
        if middle < DARKEST:
            yield _found(image, f"Half of it reflects less than {middle:.2g}, darker than coal")
        elif middle > LIGHTEST and not owners & metal:
            yield _found(image, f"Half of it reflects more than {middle:.2f}, as no paint does")


def _found(image: ImageReading, what: str) -> Finding:
    return finding(
        "albedo_is_not_plausible",
        image.record.path,
        f"{what}. Surfaces that are no metal reflect {DARKEST} to {LIGHTEST} of the light (linear; "
        "common practice). Beyond that light bounces wrongly, and no exposure mends it.",
        "Check that its colour space is the right one and that no light was painted into it. Empty "
        "parts, masks and effects that are meant can stay.",
    )


def _linear(image: ImageReading) -> tuple[float, ...]:
    """Return percentiles of linear luminance; empty where they mean nothing."""
    statistics = image.record.statistics
    space = SPACES.get(image.reading)
    if image.content != "base_color" or statistics is None or space is None:
        return ()
    if statistics.chroma is None or _empty(image):
        return ()
    chroma = statistics.chroma
    return chroma.stored_percentiles if space.linear else chroma.linear_percentiles


def _empty(image: ImageReading) -> bool:
    """Whether much of it is transparent or one flat colour, which stands for nothing."""
    statistics = image.record.statistics
    if statistics is None:
        return True
    transparent = statistics.alpha.transparent if statistics.alpha else 0.0
    flat = statistics.coverage.commonest if statistics.coverage else 0.0
    return transparent > 0.2 or 0.2 < flat < 0.98
