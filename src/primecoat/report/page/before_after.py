"""Pictures that are read wrongly today: as they come in now, and as they must."""

from __future__ import annotations

import base64

from primecoat.colour.ids import SPACES
from primecoat.errors import ImageError, UseError
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


def before_after(shown: Shown) -> list[Markup]:
    """Return each misread picture under today's reading and under the one it needs.

    Both go through the working space and the view; numbers read as data go in as they are, as a
    program takes them.
    """
    misread = [pair for image in shown.images if (pair := _misread(image)) is not None]
    if not misread:
        return []
    viewing = Viewing(working=shown.survey.readings.to_space, config=shown.survey.readings.config)
    shown_pairs = [_pair(shown, image, use, viewing) for image, use in misread[:_MOST]]
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


def _pair(shown: Shown, image: ImageReading, use: UseReading, viewing: Viewing) -> Markup:
    needs = use.judgement.reading
    two = (_one(image, reading, viewing) for reading in (use.today, needs))
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


def _one(image: ImageReading, reading: str, viewing: Viewing) -> Markup:
    # what a program takes for data reaches the shader as it is: as numbers of the working space
    taken_for = reading if reading in SPACES else viewing.working
    wanted = Wanted(reading=taken_for, viewing=viewing, size=(_SIDE, _SIDE))
    try:
        made = shown_picture(image.record, wanted)
    except (ImageError, UseError) as error:
        return tag("span", f"cannot be shown: {error.message}", class_="missing")
    source = f"data:image/png;base64,{base64.b64encode(made.png).decode('ascii')}"
    return tag(
        "img", src=source, width=str(made.width), height=str(made.height), alt=f"as {reading}"
    )
