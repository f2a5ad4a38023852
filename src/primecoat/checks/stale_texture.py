"""PC314: a tiled texture that is older than the picture it was made from."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from primecoat.findings import Finding, finding
from primecoat.reading.readings import Readings

_SOURCES = (".exr", ".tif", ".tiff", ".png", ".jpg", ".jpeg", ".hdr", ".tga", ".webp")
_SLACK_NS = 2_000_000_000
"""Some file systems keep times to two seconds only."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every .tx whose source of the same name was saved after it."""
    for image in readings.images:
        stale = [(file, source) for file in image.record.files if (source := _newer_source(file))]
        if stale:
            file, source = stale[0]
            more = f" So are {len(stale) - 1} more of its set." if len(stale) > 1 else ""
            yield finding(
                "texture_is_older_than_source",
                image.record.path,
                f"{source.name} was saved after {file.name} was made from it; the scene shows the "
                f"old picture.{more}",
                "Make the texture again from the source as it is now.",
            )


def _newer_source(file: Path) -> Path | None:
    if file.suffix.lower() != ".tx":
        return None
    try:
        made = file.stat().st_mtime_ns
        for suffix in _SOURCES:
            source = file.with_suffix(suffix)
            if source.is_file() and source.stat().st_mtime_ns > made + _SLACK_NS:
                return source
    except OSError:
        return None
    return None
