"""What to type where a program reads neither names nor scenes, and what no scene file shows."""

from __future__ import annotations

from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.settings_tables import settings_tables
from primecoat.report.page.shown import Shown
from primecoat.report.page.words import count
from primecoat.report.settings import CHECK_BY_HAND, settings


def by_hand(shown: Shown) -> Markup:
    """Return the section of settings to enter by hand, folded, and of colours to look at."""
    rows = [
        one for one in settings(shown.survey, shown.superseded) if one["section"] != "check by hand"
    ]
    tables = [part for _, title, made in settings_tables(rows) for part in (tag("h3", title), made)]
    items = (tag("div", tag("dt", what), tag("dd", f"{why}.")) for what, why in CHECK_BY_HAND)
    table = tag(
        "details",
        tag("summary", f"{count(len(rows), 'setting')} to enter and tick off"),
        *tables,
    )
    return section(
        "hand",
        "What do I set by hand?",
        tag("p", "Only where a program reads neither names nor declarations."),
        table if rows else None,
        tag("h3", "Colours that a program makes itself"),
        tag("p", "No scene file shows these; look at them in the program that makes them."),
        tag("dl", *items, class_="facts"),
    )
