"""The small picture of each image, as data inside the page, or the reason why there is none."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat import jobs
from primecoat.colour.ids import SPACES
from primecoat.errors import ImageError
from primecoat.images.header import ImageHeader
from primecoat.images.thumbnail import thumbnail
from primecoat.inventory.measure_embedded import embedded_suffix
from primecoat.reading.judgement import ImageReading
from primecoat.report.page.markup import Markup, tag

_SIZES = ((160, 160), (640, 96))
"""Up to so many pictures on a page, this many pixels on the longest side."""

_SMALLEST = 64
_UNREADABLE = "the file cannot be read"


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What stands in an image's frame.

    Parameters
    ----------
    source
        Data URI; empty if nothing can be shown.
    caption
        How it is shown, or why it is not.
    """

    source: str = ""
    caption: str


@dataclass(frozen=True, slots=True)
class _Job:
    """One picture to make small: a file, or bytes out of a scene file."""

    origin: Path | bytes
    header: ImageHeader
    reading: str
    size: int
    media_type: str


def pictures(images: Sequence[ImageReading]) -> list[Picture]:
    """Return a small picture for each image, in order; many or large ones are made on all cores.

    They are decoded where those of a survey are: a picture that its decoder does not survive costs
    one frame, and not the report.
    """
    size = next((pixels for most, pixels in _SIZES if len(images) <= most), _SMALLEST)
    planned = [_plan(image, size) for image in images]
    todo = [(at, job) for at, job in enumerate(planned) if isinstance(job, _Job)]
    made: dict[int, bytes | str] = {}
    engine = jobs.USUAL_PLACE.engine(sum(_bytes(job) for _, job in todo))
    for index, result in engine.run(_make, [job for _, job in todo]):
        made[todo[index][0]] = _UNREADABLE if isinstance(result, jobs.WorkerDiedError) else result
    return [
        _picture(image, plan, made.get(at, ""))
        for at, (image, plan) in enumerate(zip(images, planned, strict=True))
    ]


def picture_rules(made: Sequence[Picture]) -> str:
    """Return style rules that hold each picture once, under the class ``thumb-NUMBER``."""
    return "\n".join(
        f".thumb-{number} {{ background-image: url({picture.source}); }}"
        for number, picture in enumerate(made, start=1)
        if picture.source
    )


def thumb(number: int, picture: Picture, label: str | None) -> Markup:
    """Return the place where a picture shows; without a label it is only an ornament."""
    if not picture.source:
        return tag("span", None if label is None else "no picture", class_="thumb missing")
    return tag(
        "span",
        class_=f"thumb thumb-{number}",
        role="img" if label else None,
        aria_label=label,
        aria_hidden=None if label else "true",
    )


def _plan(image: ImageReading, size: int) -> _Job | str:
    """Return what to make, or why nothing can be shown."""
    record = image.record
    if not record.measures:
        return "the file is missing"
    origins: tuple[Path | bytes, ...] = record.files or (record.embedded or b"",)
    for origin, measure in zip(origins, record.measures, strict=True):
        if measure.header is not None and not measure.problem:
            return _Job(origin, measure.header, image.reading, size, record.media_type)
    return _UNREADABLE


def _make(job: _Job) -> bytes | str:
    """Return the bytes of a PNG, or why it cannot be made."""
    try:
        if isinstance(job.origin, Path):
            return thumbnail(job.origin, job.header, size=job.size, reading=job.reading)
        with tempfile.TemporaryDirectory(prefix="primecoat-") as folder:
            path = Path(folder) / f"image{embedded_suffix(job.origin, job.media_type)}"
            path.write_bytes(job.origin)
            return thumbnail(path, job.header, size=job.size, reading=job.reading)
    except (ImageError, OSError):
        return _UNREADABLE


def _picture(image: ImageReading, plan: _Job | str, made: bytes | str) -> Picture:
    if isinstance(plan, str) or isinstance(made, str):
        return Picture(caption=plan if isinstance(plan, str) else str(made))
    through_view = not plan.header.integer and image.reading in SPACES
    caption = "through the view" if through_view else "plain, as stored"
    tiles = len(image.record.files)
    return Picture(
        source=f"data:image/png;base64,{base64.b64encode(made).decode('ascii')}",
        caption=f"{caption}; first of {tiles} files" if tiles > 1 else caption,
    )


def _bytes(job: _Job) -> int:
    if isinstance(job.origin, bytes):
        return len(job.origin)
    try:
        return job.origin.stat().st_size
    except OSError:
        return 0
