"""How to get back."""

from __future__ import annotations

import shlex

from primecoat.apply.reach import own_reach, reaches
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.shown import Shown


def way_back(shown: Shown) -> Markup:
    """Return the section on undoing."""
    inventory = shown.survey.readings.inventory
    words = ["primecoat", "undo", inventory.target.name]
    root, by_house = inventory.roots[0], "roots" in shown.survey.readings.house.applied
    if not by_house and not reaches((root,), (own_reach(inventory.target),)):
        words += ["--root", str(root)]
    return section(
        "back",
        "How do I get back?",
        tag(
            "p",
            "This report changed nothing; applying a plan keeps every original and writes the new "
            "scene beside the old one, and ",
            tag("code", shlex.join(words)),
            " puts everything back byte for byte.",
        ),
    )
