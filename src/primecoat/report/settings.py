"""The settings sheet: what to enter by hand in a program that reads neither names nor scenes."""

from __future__ import annotations

from primecoat.checks.survey import Survey
from primecoat.location import printable
from primecoat.plan.build import is_superseded
from primecoat.reading.judgement import ImageReading, UseReading
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


def settings(survey: Survey, superseded: frozenset[str] = frozenset()) -> list[Row]:
    """Return one row for each use, colour and light, then what must be checked by hand.

    Parameters
    ----------
    superseded
        Files that earlier runs replaced by others, relative to the root: they are left out.
    """
    readings = survey.readings
    root = readings.inventory.roots[0]
    rows = []
    for image in readings.images:
        if is_superseded(image.record, root, superseded):
            continue
        for use in _standing_uses(image, superseded):
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
            if colour.scene.name in superseded:
                continue
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


def settings_sheet(survey: Survey, superseded: frozenset[str] = frozenset()) -> str:
    """Return the settings as CSV: a scene sheet with more columns."""
    return "".join(settings_rows(settings(survey, superseded)))


def _standing_uses(image: ImageReading, superseded: frozenset[str]) -> tuple[UseReading, ...]:
    """Return the uses by scenes that stand; all, if only superseded scenes use the image."""
    standing = tuple(u for u in image.uses if u.scene_use.scene.name not in superseded)
    return standing or image.uses


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
