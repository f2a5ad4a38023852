"""How to get back."""

from __future__ import annotations

import shlex

from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, tag
from primecoat.report.page.shown import Shown


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
