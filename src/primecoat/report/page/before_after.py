"""Pictures that are read wrongly today: as they come in now, and as they must."""

from __future__ import annotations

import base64
from dataclasses import dataclass

from primecoat import jobs
from primecoat.colour.ids import SPACES
from primecoat.errors import ImageError, UseError
from primecoat.inventory import ImageRecord
from primecoat.reading.judgement import ImageReading, UseReading
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import count
from primecoat.report.shown.picture import shown_picture
from primecoat.report.shown.seen import Viewing
from primecoat.report.shown.wanted import Wanted

_MOST = 24
"""Pairs on one page; the survey lists the others."""

_SIDE = 240
"""Most pixels on the longest side."""


@dataclass(frozen=True, slots=True)
class _Job:
    """One picture to make, in two ways."""

    record: ImageRecord
    wanted: tuple[Wanted, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """A picture as PNG, or why there is none."""

    png: bytes = b""
    width: int = 0
    height: int = 0
    why: str = ""


def before_after(shown: Shown) -> list[Markup]:
    """Return each misread picture under today's reading and under the one it needs.

    Both go through the working space and the view; numbers read as data go in as they are, as a
    program takes them. They are decoded where those of a survey are.
    """
    misread = [pair for image in shown.images if (pair := _misread(image)) is not None]
    if not misread:
        return []
    viewing = Viewing(working=shown.survey.readings.to_space, config=shown.survey.readings.config)
    pairs = misread[:_MOST]
    todo = [_job(image, use, viewing) for image, use in pairs]
    engine = jobs.USUAL_PLACE.engine(0)
    made: dict[int, tuple[_Seen, ...]] = {}
    for at, result in engine.run(_make, todo):
        made[at] = (
            (_Seen(why=str(result)),) * 2 if isinstance(result, jobs.WorkerDiedError) else result
        )
    shown_pairs = [_pair(shown, image, use, made[at]) for at, (image, use) in enumerate(pairs)]
    rest = len(misread) - _MOST
    more = [tag("p", f"{count(rest, 'more picture')} like these in the table.")] if rest > 0 else []
    return [
        tag("h3", f"{count(len(misread), 'picture')} read otherwise today"),
        tag(
            "p",
            "Left: as it comes in if nothing is done; right: as it must. Both through the working "
            f"space and the view “{viewing.view}”, in sRGB.",
            class_="legend",
        ),
        tag("div", *shown_pairs, class_="proofs"),
        *more,
    ]


def _misread(image: ImageReading) -> tuple[ImageReading, UseReading] | None:
    """Return the first use that is read otherwise than it needs, where both can be shown."""
    for use in image.uses:
        needs = use.judgement.reading
        if needs in SPACES and use.today != needs and use.today in (*SPACES, "data"):
            return image, use
    return None


def _pair(shown: Shown, image: ImageReading, use: UseReading, seen: tuple[_Seen, ...]) -> Markup:
    needs = use.judgement.reading
    two = map(_one, seen, (use.today, needs))
    return tag(
        "figure",
        tag("div", *two, class_="two"),
        tag(
            "figcaption",
            shown.link(image.record.path),
            tag("small", f"{use.scene_use.use.owner} {use.scene_use.use.slot}"),
            tag("small", "today ", tag("code", use.today), ", needs ", tag("code", needs)),
            class_="stack",
        ),
    )


def _job(image: ImageReading, use: UseReading, viewing: Viewing) -> _Job:
    two = []
    for reading in (use.today, use.judgement.reading):
        # what a program takes for data reaches the shader as it is: as numbers of the working space
        taken_for = reading if reading in SPACES else viewing.working
        two.append(Wanted(reading=taken_for, viewing=viewing, size=(_SIDE, _SIDE)))
    return _Job(image.record, tuple(two))


def _make(job: _Job) -> tuple[_Seen, ...]:
    """Return a picture as it is seen in each way that is wanted."""
    return tuple(_seen(job.record, wanted) for wanted in job.wanted)


def _seen(record: ImageRecord, wanted: Wanted) -> _Seen:
    try:
        made = shown_picture(record, wanted)
    except (ImageError, UseError) as error:
        return _Seen(why=error.message)
    return _Seen(png=made.png, width=made.width, height=made.height)


def _one(seen: _Seen, reading: str) -> Markup:
    if seen.why:
        return tag("span", f"cannot be shown: {seen.why}", class_="missing")
    source = f"data:image/png;base64,{base64.b64encode(seen.png).decode('ascii')}"
    return tag(
        "img", src=source, width=str(seen.width), height=str(seen.height), alt=f"as {reading}"
    )
