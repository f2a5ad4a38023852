"""The fourth answer: what will change, for pictures and for picked colours."""

from __future__ import annotations

from primecoat.colour.ids import UNKNOWN
from primecoat.plan.explicit import has_token, misread_by_standard
from primecoat.reading.judgement import FIRM, ImageReading, UseReading
from primecoat.reading.names import tagged_name
from primecoat.report.page.before_after import before_after
from primecoat.report.page.colours import colour_table, product_table
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, row, table, tag
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import count

_OPEN_UP_TO = 80
"""Longer tables are folded away."""


def change(shown: Shown) -> Markup:
    """Return the section that puts today beside what is needed."""
    parts = [*before_after(shown), *_pictures(shown), *colour_table(shown), *product_table(shown)]
    return section("change", "What will change?", *(parts or [tag("p", "Nothing.")]))


def _pictures(shown: Shown) -> list[Markup]:
    if not shown.images:
        return []
    moving = [image for image in shown.images if not _stays(image)]
    staying = len(shown.images) - len(moving)
    parts = [tag("h3", "Pictures")]
    if moving:
        columns = ("picture", "read today as", "must be read as", "name by the tag route")
        made = table(columns, [_row(shown, image) for image in moving], "changes")
        summary = tag("summary", count(len(moving), "picture"))
        parts.append(tag("details", summary, made) if len(moving) > _OPEN_UP_TO else made)
    if staying:
        parts.append(tag("p", f"{count(staying, 'picture')} already right: nothing changes."))
    return parts


def _stays(image: ImageReading) -> bool:
    return has_token(image) and not image.record.problems and not misread_by_standard(image)


def _row(shown: Shown, image: ImageReading) -> Markup:
    today = tuple(dict.fromkeys(u.today for u in _speaking(image))) or (UNKNOWN,)
    differs = today != (image.reading,)
    needs = tag("code", image.reading)
    return row(
        shown.link(image.record.path),
        tag("span", *(tag("code", one) for one in today), class_="stack"),
        tag("b", needs) if differs else needs,
        _new_name(image),
    )


def _speaking(image: ImageReading) -> list[UseReading]:
    return [u for u in image.uses if u.scene_use.use.channels != "a"] or list(image.uses)


def _new_name(image: ImageReading) -> Markup:
    record = image.record
    if not record.measures:
        return tag("em", "none: there is no file")
    if image.reading == UNKNOWN:
        return tag("em", "none until you decide")
    if misread_by_standard(image):
        return tag("em", "none: it must be converted first")
    if record.embedded is not None:
        return tag("em", "taken out of the scene file into a file of its own")
    agreed = None if image.standing in FIRM else tag("em", " once you agree")
    return tag("span", tagged_name(record.name, image.reading), agreed, class_="path")
