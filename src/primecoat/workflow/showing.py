"""The demo scene, the report and the sheet of settings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from primecoat.apply.journal import read_runs
from primecoat.checks.survey import Survey
from primecoat.demo import write_demo
from primecoat.demo.renders import write_renders
from primecoat.documents import dumps
from primecoat.errors import UseError
from primecoat.jobs import Progress
from primecoat.proof.paths.outcome import Proof
from primecoat.reading.decisions import read_decisions
from primecoat.report.attached import read_attached
from primecoat.report.html import report_page
from primecoat.report.report_document import report_document
from primecoat.report.report_rows import report_rows
from primecoat.report.settings import settings_sheet
from primecoat.report.settings_html import settings_page
from primecoat.workflow.history import superseded_in


def demo(
    folder: Path,
    *,
    clean: bool = False,
    renders: bool = False,
    progress: Progress | None = None,
) -> tuple[Path, ...]:
    """Write the demo scene, its faultless twin, or renders of it, into an empty or new folder.

    Parameters
    ----------
    progress
        Told how many pictures are made.

    Raises
    ------
    UseError
        If the folder holds anything else, or both kinds are asked for.
    """
    if clean and renders:
        raise UseError("The renders have no faultless twin.", "Ask for --clean or --renders.")
    if renders:
        return write_renders(folder, progress=progress)
    return write_demo(folder, clean=clean, progress=progress)


ReportForm = Literal["html", "json", "csv"]


def report(
    survey: Survey,
    *,
    form: ReportForm = "html",
    attached: Sequence[Path] = (),
    proved: Proof | None = None,
) -> str:
    """Return a report on a survey, with what was decided and done in its folder.

    Parameters
    ----------
    form
        ``html`` (one page that needs nothing from outside), ``json`` (``primecoat.report/1``) or
        ``csv`` (a row for each picture, colour, light and finding).
    attached
        Documents that other verbs wrote with ``--json``, to be told too: compare, match,
        handover, card. CSV leaves them out.
    proved
        A proof of the scene in the same state, to be told too; see
        :func:`primecoat.workflow.proof.kept_proof`. CSV leaves it out.

    Raises
    ------
    InputError
        If a document, the decisions or the journal cannot be read.
    UseError
        If a document is of a kind that cannot be told.
    """
    home, more = survey.readings.inventory.home, read_attached(attached)
    decisions = tuple(read_decisions(home).values())
    if form == "csv":
        return report_rows(survey, decisions)
    runs, superseded = read_runs(home), superseded_in(survey)
    if form == "json":
        return dumps(
            report_document(
                survey,
                superseded=superseded,
                runs=runs,
                decisions=decisions,
                attached=more,
                proved=proved,
            )
        )
    return report_page(
        survey,
        superseded=superseded,
        runs=runs,
        decisions=decisions,
        attached=more,
        proved=proved,
    )


def sheet(survey: Survey, *, html: bool = False) -> str:
    """Return the settings to enter by hand: CSV in the scene sheet's form, or HTML.

    Of a folder, originals that the journal says are superseded are left out, as at the gate.
    """
    superseded = superseded_in(survey)
    return settings_page(survey, superseded) if html else settings_sheet(survey, superseded)
