"""What was done to the scene, and what a person decided and why."""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.apply.journal import Run
from primecoat.plan.operations import describe, from_document
from primecoat.reading.decisions import Decision
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, folded, row, table, tag
from primecoat.report.page.words import count

_SHOWN = 40


def done(runs: Sequence[Run], decisions: Sequence[Decision]) -> Markup:
    """Return the section on what was decided and done.

    Parameters
    ----------
    runs
        Of the journal, oldest first.
    decisions
        Those in force.
    """
    parts = [*_decided(decisions), *_runs(runs)]
    nothing = tag("p", "Nothing yet: no decision was made and no plan was applied.")
    return section("done", "What was done, and why?", *(parts or [nothing]))


def _decided(decisions: Sequence[Decision]) -> list[Markup]:
    if not decisions:
        return []
    rows = [
        row(
            tag("span", one.image, class_="path"),
            tag("code", one.reading),
            one.because or tag("em", "no reason given"),
            tag("span", one.by, tag("small", one.when), class_="stack"),
        )
        for one in decisions
    ]
    columns = ("picture", "is, by a person’s word", "because", "who, when")
    return [tag("h3", count(len(decisions), "decision")), table(columns, rows, "decisions")]


def _runs(runs: Sequence[Run]) -> list[Markup]:
    parts: list[Markup] = []
    for run in reversed(runs):
        parts.append(tag("h3", f"{count(len(run.steps), 'operation')} on {run.target}"))
        parts.append(tag("p", _state(run), class_="legend"))
        operations = [from_document(step.operation) for step in run.steps]
        items = [tag("li", tag("span", describe(one), class_="path")) for one in operations]
        parts.append(tag("div", folded(items, shown=_SHOWN, more="operations"), class_="ledger"))
    return parts


def _state(run: Run) -> str:
    who = f" By {run.by}, {run.when}." if run.when else ""
    if run.undone:
        return f"Applied and taken back: the files are as they were.{who}"
    if run.open:
        return f"Cut short: finish it or take it back with primecoat recover.{who}"
    return f"Applied, and it stands.{who}"
