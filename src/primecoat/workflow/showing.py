"""The demo scene, the report and the sheet of settings."""

from __future__ import annotations

from pathlib import Path

from primecoat.checks.survey import Survey
from primecoat.demo import write_demo
from primecoat.demo.renders import write_renders
from primecoat.errors import UseError
from primecoat.report.html import report_page
from primecoat.report.settings import settings_sheet
from primecoat.report.settings_html import settings_page
from primecoat.workflow.history import standing_history


def demo(folder: Path, *, clean: bool = False, renders: bool = False) -> tuple[Path, ...]:
    """Write the demo scene, its faultless twin, or renders of it, into an empty or new folder.

    Raises
    ------
    UseError
        If the folder holds anything else, or both kinds are asked for.
    """
    if clean and renders:
        raise UseError("The renders have no faultless twin.", "Ask for --clean or --renders.")
    return write_renders(folder) if renders else write_demo(folder, clean=clean)


def report(survey: Survey) -> str:
    """Return one self-contained HTML page about a survey."""
    inventory = survey.readings.inventory
    _, superseded = standing_history(inventory.home, inventory.roots[0], inventory.target.is_dir())
    return report_page(survey, superseded=superseded)


def sheet(survey: Survey, *, html: bool = False) -> str:
    """Return the settings to enter by hand: CSV in the scene sheet's form, or HTML."""
    return settings_page(survey) if html else settings_sheet(survey)
