"""PC301: a normal map that went through an sRGB curve."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.images.normal_map import judge_normal_map
from primecoat.reading.readings import Readings

_REMEDIES = {
    "srgb_encoded": "Export it again as data. If there is no source, undo the sRGB curve once "
    "and save with 16 bits.",
    "srgb_decoded": "Export it again as data. If there is no source, apply the sRGB curve once "
    "and save with 16 bits.",
    "srgb_encoded_twice": "Export it again as data. If there is no source, undo the sRGB curve "
    "twice and save with 16 bits.",
    "srgb_decoded_twice": "Export it again as data. If there is no source, apply the sRGB curve "
    "twice and save with 16 bits.",
}


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every normal map whose vectors have length 1 only after a curve."""
    for image in readings.images:
        statistics = image.record.statistics
        if statistics is None or image.content != "normal":
            continue
        judged = judge_normal_map(statistics, known=True)
        if judged is not None and judged.damage != "none":
            yield finding(
                "normal_map_is_damaged",
                image.record.path,
                f"It looks like {judged.words}. Shading will be wrong however it is read.",
                _REMEDIES[judged.damage],
            )
