"""The last answers: how to get back, and what no scene file shows."""

from __future__ import annotations

import shlex

from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.shown import Shown
from primecoat.report.settings import CHECK_BY_HAND


def way_back(shown: Shown) -> Markup:
    """Return the section on undoing."""
    target = shlex.quote(shown.survey.readings.inventory.target.name)
    return section(
        "back",
        "How do I get back?",
        tag(
            "p",
            "This report changed nothing; applying a plan keeps every original and writes the new "
            "scene beside the old one, and ",
            tag("code", f"primecoat undo {target}"),
            " puts everything back byte for byte.",
        ),
    )


def by_hand() -> Markup:
    """Return the section on colours that a program makes itself."""
    items = (tag("div", tag("dt", what), tag("dd", f"{why}.")) for what, why in CHECK_BY_HAND)
    return section(
        "hand",
        "Check by hand",
        tag("p", "No scene file shows these colours; look at them in the program that makes them."),
        tag("dl", *items, class_="facts"),
    )
