"""A survey as one HTML page that needs nothing from outside: no network, no script, no file.

The page answers a reader's questions in the order in which they come up.
"""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.apply.journal import Run
from primecoat.checks.survey import Survey
from primecoat.proof.paths.outcome import Proof
from primecoat.reading.decisions import Decision
from primecoat.report.attached import Attached
from primecoat.report.page.attached import attached_parts
from primecoat.report.page.by_hand import by_hand
from primecoat.report.page.change import change
from primecoat.report.page.codes import codes
from primecoat.report.page.done import done
from primecoat.report.page.entries import entries
from primecoat.report.page.frame import frame
from primecoat.report.page.markup import join, tag
from primecoat.report.page.pictures import picture_rules, pictures
from primecoat.report.page.proof import proof
from primecoat.report.page.shown import shown
from primecoat.report.page.state import state
from primecoat.report.page.todo import todo
from primecoat.report.page.way_back import way_back

_QUESTIONS = (
    ("state", "State"),
    ("todo", "What to do"),
    ("pictures", "Pictures"),
    ("change", "Changes"),
    ("proof", "Proof"),
    ("done", "Done"),
    ("back", "Way back"),
    ("hand", "By hand"),
)


def report_page(
    survey: Survey,
    *,
    superseded: frozenset[str] = frozenset(),
    runs: Sequence[Run] = (),
    decisions: Sequence[Decision] = (),
    attached: Sequence[Attached] = (),
    proved: Proof | None = None,
) -> str:
    """Return the report on a survey.

    Parameters
    ----------
    survey
        What is shown. Pictures are decoded for their thumbnails, where that pays in spawned
        worker processes.
    superseded
        Files that earlier runs replaced by others, relative to the root: they are not counted.
    runs, decisions
        What was done, oldest first; what a person decided.
    attached
        Documents on renders of the scene that are told too.
    proved
        A proof of the same state, if there is one; without one the page has no such part.
    """
    page = shown(survey, superseded)
    made = pictures(page.images)
    more = attached_parts(attached)
    known = codes(page.findings)
    questions = [one for one in _QUESTIONS if proved or one[0] != "proof"]
    titles = [*questions, *((anchor, title) for anchor, title, _ in more)]
    if known is not None:
        titles.append(("codes", "Codes"))
    links = (tag("a", title, href=f"#{anchor}") for anchor, title in titles)
    return frame(
        title=survey.readings.inventory.target.name,
        kicker="Report",
        more_style=picture_rules(made),
        body=join(
            (
                tag("nav", *links, aria_label="Parts of this report"),
                state(page, made),
                todo(page),
                entries(page, made),
                change(page),
                None if proved is None else proof(page, proved),
                done(runs, decisions),
                way_back(page),
                by_hand(page),
                *(part for _, _, part in more),
                known,
            )
        ),
    )
