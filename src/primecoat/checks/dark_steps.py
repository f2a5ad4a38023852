"""PC312: light that was kept linear with 8 bits, so that its darks go in visible steps."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.colour.ids import SPACES
from primecoat.findings import Finding, finding
from primecoat.images.header import ImageHeader
from primecoat.images.levels import LevelStatistics
from primecoat.reading.readings import Readings

_DARK = 0.02
"""Share of pixels in the lowest 12 steps of linear light from which they are seen."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for linear colour with 8 bits, and for what was made from it."""
    for image in readings.images:
        statistics, header = image.record.statistics, image.record.header
        space = SPACES.get(image.reading)
        if statistics is None or header is None or space is None or statistics.levels is None:
            continue
        how = _how(statistics.levels, header, linear=space.linear)
        if how:
            yield finding(
                "dark_steps_are_coarse",
                image.record.path,
                f"{how}: everything below a twentieth of white has only 12 steps, which show as "
                "bands in the dark parts.",
                "Export it again from its source, encoded, or linear with 16 bits or as half "
                "float. Converting this file does not bring the steps back.",
            )


def _how(levels: LevelStatistics, header: ImageHeader, *, linear: bool) -> str:
    if header.pixel_type == "uint8":
        if linear and levels.dark_share >= _DARK:
            return "It keeps linear light with 8 bits"
        if levels.conversion in ("srgb_encoded", "g22_encoded"):
            return "It skips the codes that 8-bit linear light skips when it is encoded"
        return ""
    made = "straight" if linear else "srgb_encoded"
    if levels.lattice == made and (not linear or levels.dark_share >= _DARK):
        return "Its values lie on the 256 levels of 8-bit linear light"
    return ""
