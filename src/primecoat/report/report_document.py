"""A report as one JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from primecoat.apply.journal import Run
from primecoat.checks.survey import Survey
from primecoat.documents import Document
from primecoat.findings.explained import explained
from primecoat.location import printable
from primecoat.plan.operations import describe, from_document
from primecoat.proof.paths.outcome import Proof
from primecoat.reading.decisions import Decision
from primecoat.report.attached import Attached
from primecoat.report.page.shown import shown
from primecoat.report.proof_document import proof_document
from primecoat.report.settings import settings
from primecoat.report.survey_document import survey_document
from primecoat.report.versions import versions


def report_document(
    survey: Survey,
    *,
    superseded: frozenset[str] = frozenset(),
    runs: Sequence[Run] = (),
    decisions: Sequence[Decision] = (),
    attached: Sequence[Attached] = (),
    proved: Proof | None = None,
) -> Document:
    """Return a report as ``primecoat.report/1``: all that the page tells, but for the pictures.

    Parameters
    ----------
    superseded, runs, decisions, attached, proved
        As for :func:`primecoat.report.html.report_page`.
    """
    codes = sorted({finding.code for finding in survey.findings})
    return {
        "document": "primecoat.report/1",
        **versions(),
        "ready": shown(survey, superseded).ready,
        "survey": survey_document(survey),
        "decisions": [asdict(one) for one in decisions],
        "runs": [_run(run) for run in runs],
        "settings": settings(survey, superseded),
        "codes": {code: asdict(explained(code)) for code in codes},
        "attached": [one.content for one in attached],
        "proof": None if proved is None else proof_document(proved),
    }


def _run(run: Run) -> dict[str, Any]:
    operations = [from_document(step.operation) for step in run.steps]
    state = "taken back" if run.undone else "cut short" if run.open else "stands"
    return {
        "target": run.target,
        "by": run.by,
        "when": run.when,
        "state": state,
        "operations": [printable(describe(one)) for one in operations],
    }
