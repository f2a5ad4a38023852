"""The settings sheet as an HTML page: what to enter by hand, with a box to tick for each."""

from __future__ import annotations

from primecoat.checks.survey import Survey
from primecoat.report.page.frame import frame, section
from primecoat.report.page.markup import join, tag
from primecoat.report.page.settings_tables import settings_tables
from primecoat.report.settings import settings


def settings_page(survey: Survey, superseded: frozenset[str] = frozenset()) -> str:
    """Return the settings of a survey as one self-contained, printable page.

    Parameters
    ----------
    superseded
        As for :func:`primecoat.report.settings.settings`.
    """
    readings = survey.readings
    lead = (
        "For programs that read neither names nor scenes. Set each picture to its colour space, "
        f"enter each colour in {readings.to_space}, and tick it off. "
        f"Numbers were converted with {readings.config}."
    )
    parts = [
        section(name.replace(" ", "-"), title, made)
        for name, title, made in settings_tables(settings(survey, superseded))
    ]
    return frame(
        title=readings.inventory.target.name,
        kicker="Settings to enter by hand",
        body=join((tag("p", lead, class_="legend"), *parts)),
    )
