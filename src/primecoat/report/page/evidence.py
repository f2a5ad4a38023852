"""How the reading of an image is known: each witness with its words and its weight."""

from __future__ import annotations

import math
from collections.abc import Sequence

from primecoat.reading.evidence import Evidence
from primecoat.report.page.markup import Markup, folded, tag

FULL_BAR = math.log(10_000)
"""Strength at which the bar is full: the claim is ten thousand times as probable."""

_SHOWN = 6


def evidence_list(evidence: Sequence[Evidence]) -> Markup:
    """Return all evidence on one image, heaviest witnesses first; the end of a long list folds."""
    if not evidence:
        return tag("p", "No witness says anything about it.", class_="evidence none")
    items = [_item(item) for item in evidence]
    return tag("div", folded(items, shown=_SHOWN, more="pieces of evidence"), class_="evidence")


def _item(item: Evidence) -> Markup:
    aside = bool(item.set_aside)
    weight = 0.0 if aside else item.strength
    share = max(0.0, min(1.0, weight / FULL_BAR))
    bar = tag("i", tag("i", style=f"width:{100 * share:.0f}%"), class_="bar", aria_hidden="true")
    reason = f"Set aside: {item.set_aside}." if aside else ""
    known = "Known frequency only; alone it settles nothing." if item.prior else ""
    return tag(
        "li",
        tag("p", tag("b", item.witness), " says ", tag("code", item.claim), class_="says"),
        tag("p", bar, f"{weight:.1f}", class_="weight", title="weight of this evidence"),
        tag(
            "p",
            item.words,
            *(tag("em", f" {note}") for note in (reason, known) if note),
            tag("small", f" {item.location}"),
            class_="words",
        ),
        class_="aside" if aside else None,
    )
