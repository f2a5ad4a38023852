"""A survey in a few words: counts, what wants doing first, what would change."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from primecoat.checks.survey import Survey
from primecoat.findings import CATALOGUE, Finding, Severity
from primecoat.location import counted
from primecoat.reading.colours import ColourReading
from primecoat.reading.judgement import Standing
from primecoat.workflow.listing import ListedImage
from primecoat.workflow.passing import gate

SEVERITIES: tuple[Severity, ...] = get_args(Severity)
"""Worst first."""

MOST = 7
"""How many things are named that want doing; the rest follows when those are done."""

MOVED = 1e-6
"""A number that moves by less than this, of its size, is the same in a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingCount:
    """One code, how often it was found, and where first."""

    code: str
    name: str
    severity: Severity
    count: int
    first: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Todo:
    """One thing that wants doing.

    Parameters
    ----------
    standing, finding
        The pictures it is about; empty where it is not about pictures.
    place
        ``pictures``, ``colours`` or ``change``: where it is done.
    """

    what: str
    why: str
    severity: Severity
    place: str
    standing: str = ""
    finding: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """A survey, counted.

    Parameters
    ----------
    counts
        ``images``, each standing, ``explicit``, ``colours``, ``lights``.
    todo
        At most :data:`MOST`, the worst first.
    images_moving, colours_moving, lights_moving
        What is read otherwise today than it must be, or has other numbers in the new space.
    """

    ready: bool
    counts: Mapping[str, int]
    findings: tuple[FindingCount, ...]
    todo: tuple[Todo, ...]
    images_moving: int
    colours_moving: int
    lights_moving: int

    @property
    def words(self) -> str:
        """What would change, as one sentence."""
        parts = [
            f"{counted(number, noun)} {verb}"
            for number, noun, verb in (
                (self.images_moving, "picture", "read otherwise than today"),
                (self.colours_moving, "colour", "with other numbers"),
                (self.lights_moving, "light", "with other numbers"),
            )
            if number
        ]
        return f"{', '.join(parts)}." if parts else "Nothing changes."


def overview(survey: Survey, rows: Sequence[ListedImage]) -> Overview:
    """Count a survey and say what wants doing.

    Parameters
    ----------
    rows
        Its pictures, as :func:`primecoat.workflow.list_images` lists them.
    """
    passing = gate(survey, may_be_empty=True)
    readings = survey.readings
    standings = Counter(row.standing for row in rows)
    counts = {
        "images": len(rows),
        **{standing: standings[standing] for standing in get_args(Standing)},
        "explicit": passing.explicit,
        "colours": len(readings.colours),
        "lights": len(readings.lights),
    }
    findings = _counted(passing.findings)
    return Overview(
        ready=passing.open,
        counts=counts,
        findings=findings,
        todo=_todo(findings, passing.findings, rows, len(passing.left)),
        images_moving=sum(row.differs for row in rows),
        colours_moving=sum(map(_moves, readings.colours)),
        lights_moving=sum(map(_moves, readings.lights)),
    )


def _counted(findings: Sequence[Finding]) -> tuple[FindingCount, ...]:
    by_code: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        by_code[finding.code].append(finding)
    made = [
        FindingCount(
            code=code,
            name=CATALOGUE[code].name,
            severity=CATALOGUE[code].severity,
            count=len(found),
            first=found[0].where,
        )
        for code, found in by_code.items()
    ]
    return tuple(sorted(made, key=lambda f: (SEVERITIES.index(f.severity), f.code)))


def _todo(
    counts: Sequence[FindingCount],
    findings: Sequence[Finding],
    rows: Sequence[ListedImage],
    left: int,
) -> tuple[Todo, ...]:
    first = {f.code: f for f in reversed(findings)}
    paths = {row.path for row in rows}
    made = [
        Todo(
            what=first[f.code].remedy,
            why=first[f.code].message + (f" {f.count - 1} more like it." if f.count > 1 else ""),
            severity=f.severity,
            place="pictures" if f.first in paths else "colours" if f.code[2] == "2" else "scene",
            finding=f.code if f.first in paths else "",
        )
        for f in counts
    ]
    for standing, severity, words in _ASKED:
        number = sum(
            row.standing == standing and not _TELL_OF_CONFLICTS & {*row.findings} for row in rows
        )
        if number:
            made.append(
                Todo(
                    what=f"{words} {counted(number, 'picture')}.",
                    why=_WHY[standing],
                    severity=severity,
                    place="pictures",
                    standing=standing,
                )
            )
    if left:
        made.append(
            Todo(
                what="Make a plan and apply it.",
                why=f"{counted(left, 'thing')} left to a guess.",
                severity="note",
                place="change",
            )
        )
    return tuple(sorted(made, key=lambda t: SEVERITIES.index(t.severity))[:MOST])


_ASKED: tuple[tuple[Standing, Severity, str], ...] = (
    ("conflicting", "error", "Decide between readings for"),
    ("unknown", "warning", "Say what to read:"),
    ("likely", "note", "Confirm the likely reading of"),
)
_TELL_OF_CONFLICTS = {"PC103", "PC107"}
"""Findings whose remedies stand in the list themselves."""

_WHY = {
    "conflicting": "Strong evidence, or two uses, disagree.",
    "unknown": "Nothing says how to read it.",
    "likely": "It is the best answer, but not firm enough to act on.",
}


def _moves(colour: ColourReading) -> bool:
    if colour.working is None:
        return False
    pairs = zip(colour.value.value, colour.working, strict=True)
    return any(abs(a - b) > MOVED * max(1.0, abs(a), abs(b)) for a, b in pairs)
