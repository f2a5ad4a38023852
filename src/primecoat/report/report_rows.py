"""A report as rows of a table, for a spreadsheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from primecoat.checks.survey import Survey
from primecoat.location import printable
from primecoat.reading.decisions import Decision, Spoken
from primecoat.scenes.formats.sheet import settings_rows

_COLUMNS = (
    "what",
    "where",
    "slot",
    "reading",
    "standing",
    "today",
    "codes",
    "severity",
    "words",
    "remedy",
    "decided by",
    "because",
)


def report_rows(survey: Survey, decisions: Sequence[Decision] = ()) -> str:
    """Return a row for each picture, colour, light and finding as CSV.

    Parameters
    ----------
    decisions
        What a person decided, and why.
    """
    codes: dict[str, list[str]] = defaultdict(list)
    for finding in survey.findings:
        codes[finding.where].append(finding.code)
    rows = []
    readings = survey.readings
    spoken = Spoken({one.image: one for one in decisions})
    for image in readings.images:
        path = image.record.path
        word = spoken.on(path)
        rows.append(
            _row(
                what="picture",
                where=path,
                slot=" ".join(dict.fromkeys(u.scene_use.use.slot for u in image.uses)),
                reading=image.reading,
                standing=image.standing,
                today=" ".join(dict.fromkeys(use.today for use in image.uses)),
                codes=" ".join(dict.fromkeys(codes[path])),
                **({"decided by": word.by, "because": word.because} if word else {}),
            )
        )
    for what, values in (("colour", readings.colours), ("light", readings.lights)):
        for one in values:
            rows.append(
                _row(
                    what=what,
                    where=f"{one.scene.name} {one.value.location}",
                    slot=one.value.slot,
                    reading=one.reading,
                    words=one.why,
                )
            )
    for finding in survey.findings:
        rows.append(
            _row(
                what="finding",
                where=finding.where,
                codes=finding.code,
                severity=finding.severity,
                words=finding.message,
                remedy=finding.remedy,
            )
        )
    return "".join(settings_rows(rows or [_row()]))


def _row(**cells: str) -> dict[str, str]:
    return {column: printable(cells.get(column, "")) for column in _COLUMNS}
