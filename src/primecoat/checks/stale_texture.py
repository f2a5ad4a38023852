"""PC314: a tiled texture that is older than the picture it was made from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import PrimecoatError
from primecoat.findings import Finding, finding
from primecoat.images.header import TextureRecord
from primecoat.images.read_header import read_header
from primecoat.images.texture_source import made_at, made_from
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings

_SOURCES = (".exr", ".tif", ".tiff", ".png", ".jpg", ".jpeg", ".hdr", ".tga", ".webp")
_SLACK = 2.0
"""Seconds: some file systems keep times to two seconds only."""

_COPIED = 60.0
"""Seconds between two files from which they were not just copied together."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every .tx whose source was changed after it was made.

    The source is the one that the texture's record names, if it is beside it, else the picture of
    the same name. A hash of the source's pixels in the record outranks all dates.
    """
    for image in readings.images:
        stale = stale_files(image)
        if stale:
            more = f" So are {len(stale) - 1} more of its set." if len(stale) > 1 else ""
            yield finding(
                "texture_is_older_than_source",
                image.record.path,
                f"{stale[0].words}; the scene shows the old picture.{more}",
                "Make the texture again from the source as it is now.",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stale:
    """A texture that is older than its source.

    Parameters
    ----------
    source
        The picture that it was made from, as it is now.
    words
        How that is known: half a sentence.
    """

    source: Path
    words: str


def stale_files(image: ImageReading) -> tuple[Stale, ...]:
    """Return what is known of those files of an image that are older than their sources."""
    return tuple(found for file in image.record.files if (found := _stale(file)) is not None)


def _stale(file: Path) -> Stale | None:
    if file.suffix.lower() != ".tx":
        return None
    try:
        record = read_header(file).texture
        made = file.stat().st_mtime
        source = _source(file, record)
        saved = source.stat().st_mtime if source is not None else 0.0
    except (OSError, PrimecoatError):
        return None
    if source is None:
        return None
    dated = made_at(record) if record is not None else None
    newer = saved > made + _SLACK
    after_date = dated is not None and saved > dated + _SLACK and abs(saved - made) > _COPIED
    if not (newer or after_date):
        return None
    same = _same_pixels(record, source)
    if same or (not newer and same is None):
        return None
    when = (
        f"{source.name} was saved after {file.name} was made from it (by the times of the files)"
        if newer
        else f"{source.name} was saved after the date in the record of {file.name}"
    )
    if same is False:
        when += ", and its pixels are not those whose hash was kept"
    return Stale(source=source, words=when)


def _source(file: Path, record: TextureRecord | None) -> Path | None:
    """Return the picture that a record names, or the one of the same name, if it is there."""
    named = Path(record.source.replace("\\", "/")).name if record is not None else ""
    if named and named != file.name and file.with_name(named).is_file():
        return file.with_name(named)
    return next((s for e in _SOURCES if (s := file.with_suffix(e)).is_file()), None)


def _same_pixels(record: TextureRecord | None, source: Path) -> bool | None:
    """Whether the hash in the record is that of the source; None if that cannot be told."""
    if record is None:
        return None
    try:
        return made_from(record, source)
    except PrimecoatError:
        return None
