"""PC307: colour where alpha is zero, which many tools lose."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_WORTH_TELLING = 0.01
"""Less than this share of the transparent pixels is noise."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a note for pictures that keep colour under full transparency."""
    for image in readings.images:
        header, statistics = image.record.header, image.record.statistics
        if header is None or statistics is None or statistics.alpha is None:
            continue
        alpha = statistics.alpha
        if (
            header.alpha == "unassociated"
            and alpha.transparent > 0.0
            and alpha.colour_under_zero > _WORTH_TELLING
            and alpha.colour_under_zero * alpha.transparent > _WORTH_TELLING
        ):
            yield finding(
                "colour_under_zero_alpha",
                image.record.path,
                f"{alpha.colour_under_zero:.0%} of its transparent pixels hold a colour. It keeps "
                "the edges clean when the picture is filtered; a tool that multiplies colour by "
                "alpha on loading turns it black.",
                "Nothing is wrong with the file. If edges turn dark after another tool saved it, "
                "go back to this one.",
            )
