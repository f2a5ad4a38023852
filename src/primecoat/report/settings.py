"""The settings sheet: what to enter by hand in a program that reads neither names nor scenes."""

from __future__ import annotations

from primecoat.checks.survey import Survey
from primecoat.location import printable
from primecoat.scenes.formats.sheet import settings_rows
from primecoat.scenes.model import ColourValue

Row = dict[str, str]

CHECK_BY_HAND = (
    ("sky models", "colours that a sky or sun model makes are in the program's own space"),
    ("colour temperatures", "a light set in kelvin is turned into RGB by the program"),
    ("pigment presets", "hair, skin and dye presets are RGB tables made for one working space"),
    ("metal presets", "metal colours picked from a list are RGB for one working space"),
)
"""Colours that a program makes itself, which no scene file shows (common practice, no source)."""


def settings(survey: Survey) -> list[Row]:
    """Return one row for each use, colour and light, then what must be checked by hand."""
    readings = survey.readings
    rows = []
    for image in readings.images:
        for use in image.uses:
            written = use.scene_use.use
            rows.append(
                _row(
                    path=image.record.path,
                    owner=written.owner,
                    slot=written.slot,
                    channels=written.channels,
                    space=use.judgement.reading,
                    standing=use.judgement.standing,
                    today=use.today,
                    section="images",
                )
            )
        if not image.uses:
            rows.append(
                _row(
                    path=image.record.path,
                    slot=image.content,
                    space=image.reading,
                    standing=image.standing,
                    section="images",
                )
            )
    for section, values in (("colours", readings.colours), ("lights", readings.lights)):
        for colour in values:
            rows.append(
                _row(
                    owner=colour.value.owner,
                    slot=colour.value.slot,
                    channels="rgb",
                    space=colour.reading,
                    value=_numbers(colour.value.value),
                    working=_numbers(colour.working) if colour.working else "",
                    section=section,
                    note=_note(colour.value),
                )
            )
    rows += [
        _row(owner=what, space="unknown", note=why, section="check by hand")
        for what, why in CHECK_BY_HAND
    ]
    return rows


def settings_sheet(survey: Survey) -> str:
    """Return the settings as CSV: a scene sheet with more columns."""
    return "".join(settings_rows(settings(survey)))


def _row(**cells: str) -> Row:
    columns = (
        "path",
        "owner",
        "slot",
        "channels",
        "space",
        "value",
        "working",
        "standing",
        "today",
        "section",
        "note",
    )
    return {column: printable(cells.get(column, "")) for column in columns}


def _note(value: ColourValue) -> str:
    if value.kelvin is not None:
        return f"{value.kelvin:g} K; a program may turn it into RGB by itself"
    return f"the least of {value.count} values" if value.maximum else value.exception


def _numbers(values: tuple[float, float, float]) -> str:
    return " ".join(f"{value:.6g}" for value in values)
