"""The scene sheet: a CSV that any script can write for scenes no standard format can hold.

First line: column names. ``path`` (file, relative to the sheet), ``owner``, ``slot``, ``channels``
(letters of ``rgba``; default by slot), ``space`` (declared colour space; empty: none), ``value``
(three numbers, or a temperature as in ``3200K``, for a picked colour; ``path`` is empty then).
Further columns are left alone.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.locus import PLANCKIAN_RANGE, temperature_rgb
from primecoat.errors import InputError, RefusedError
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.model import (
    LARGEST,
    SLOTS,
    ColourValue,
    Edit,
    ImageReference,
    ImageUse,
    Scene,
)

SUFFIXES = (".csv",)
STANDARD = "scene sheet"
CHANGED_SUFFIX = ""
DECLARES = True
WHY_NOT = ""

_CHANNELS = {
    "roughness": "r",
    "glossiness": "r",
    "metalness": "r",
    "occlusion": "r",
    "height": "r",
    "opacity": "r",
    "mask": "r",
}
_TEMPERATURE = re.compile(r"(\d{1,6}(?:\.\d+)?) ?[kK]")
_TEMPERATURE_SPACE = "lin_rec709_scene"
"""Space whose white a colour temperature is adapted from, as UsdLux prescribes."""

_LIGHT_SLOTS = ("light_color",)
_SETTINGS_COLUMNS = {"standing", "today", "section"}
"""Columns that only a settings sheet has."""


@dataclass(frozen=True, slots=True)
class _Row:
    """One record: its text with line end as it stands in the file, its cells, its first line."""

    text: str
    cells: tuple[str, ...]
    line: int


def read(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a scene sheet; see :class:`primecoat.scenes.format.SceneFormat`."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"Cannot read {path}: {error.strerror}.", "Check the name and its rights."
        ) from error
    rows = _rows(data, name)
    columns = _columns(rows, name)
    references: list[ImageReference] = []
    uses: list[ImageUse] = []
    colours: list[ColourValue] = []
    problems: list[Finding] = []
    for row in rows[1:]:
        cell = {key: _cell(row, at) for key, at in columns.items()}
        if not any(cell.get(key) for key in ("path", "slot", "channels", "value")):
            continue  # an empty line, or a line of notes only
        place = f"row {row.line}"
        location = Location(name, place)
        declared_at = Location(name, f"{place}/space")
        slot = cell.get("slot", "")
        trouble = _trouble(cell)
        if trouble:
            problems.append(
                finding(
                    "reference_in_scene_is_broken",
                    name,
                    f"In row {row.line}: {trouble}.",
                    "Mend this row of the sheet.",
                    location,
                )
            )
            continue
        if cell["path"]:
            references.append(
                ImageReference(
                    text=cell["path"],
                    location=Location(name, f"{place}/path"),
                    written=cell["path"],
                )
            )
            uses.append(
                ImageUse(
                    reference=len(references) - 1,
                    owner=cell.get("owner", ""),
                    slot=slot,
                    channels=cell.get("channels", "").lower() or _CHANNELS.get(slot, "rgb"),
                    location=location,
                    declared=cell.get("space") or None,
                    declared_at=declared_at,
                    standard=STANDARD,
                )
            )
        else:
            kelvin = _kelvin(cell["value"])
            red, green, blue = (
                temperature_rgb(kelvin, _TEMPERATURE_SPACE)
                if kelvin is not None
                else (float(v) for v in cell["value"].split())
            )
            colours.append(
                ColourValue(
                    location=location,
                    owner=cell.get("owner", ""),
                    slot=slot,
                    value=(red, green, blue),
                    kelvin=kelvin,
                    written=cell["value"],
                    fixed=_TEMPERATURE_SPACE if kelvin is not None else None,
                    declared=cell.get("space") or None,
                    declared_at=declared_at if kelvin is None else None,
                    written_at=Location(name, f"{place}/value") if kelvin is None else None,
                )
            )
    return Scene(
        path=path,
        name=name,
        format="sheet",
        references=tuple(references),
        uses=tuple(uses),
        colours=tuple(c for c in colours if c.slot not in _LIGHT_SLOTS),
        lights=tuple(c for c in colours if c.slot in _LIGHT_SLOTS),
        problems=tuple(problems),
    )


def claims(path: Path) -> bool:
    """Whether a CSV names the columns of a scene sheet, and is no settings sheet written here.

    A settings sheet repeats what was found; taken for a scene it would testify for itself. A sheet
    in another encoding than UTF-8 is claimed too, so that reading it says what is wrong.
    """
    try:
        with path.open("rb") as stream:
            head = stream.readline(65536)
    except OSError:
        return True
    line = head.replace(b"\0", b"").decode("latin-1").lower()
    columns = {cell.strip('\xef\xbb\xbf\xfe\xff" \r\n') for cell in line.split(_delimiter([line]))}
    return bool(columns & {"path", "slot"}) and not columns >= _SETTINGS_COLUMNS


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the sheet with edits made; see ``SceneFormat.changed``."""
    return edit(source.read_bytes(), edits)


def edit(data: bytes, edits: Sequence[Edit]) -> bytes:
    """Return the sheet's bytes with cells changed; rows without a change stay as they are.

    A place is ``row LINE/COLUMN``. A column that is not there yet is added at the right.
    """
    rows = _rows(data, "the sheet")
    columns = _columns(rows, "the sheet")
    delimiter = _delimiter([rows[0].text])
    changes: dict[int, dict[str, Edit]] = {}
    for change in edits:
        row_part, _, column = change.place.partition("/")
        changes.setdefault(int(row_part.removeprefix("row ")), {})[column] = change
    added = [
        column
        for column in dict.fromkeys(c for by_column in changes.values() for c in by_column)
        if column not in columns
    ]
    width = max(len(row.cells) for row in rows)
    columns |= {column: width + at for at, column in enumerate(added)}
    out = []
    for row in rows:
        cells = list(row.cells)
        if added and cells:
            cells += [""] * (width - len(cells))
            cells += added if row is rows[0] else [""] * len(added)
        for column, change in changes.pop(row.line, {}).items():
            at = columns[column]
            found = cells[at] if at < len(cells) else ""
            if found.strip() != change.before:
                raise RefusedError(
                    f"In {change.place} the sheet says {found!r}, "
                    f"but {change.before!r} was planned for.",
                    "The scene has changed: make a new plan.",
                )
            cells += [""] * (at + 1 - len(cells))
            cells[at] = change.after
        out.append(row.text if tuple(cells) == row.cells else _line(cells, row.text, delimiter))
    if changes:
        raise RefusedError(f"The sheet has no row {min(changes)}.", "Make a new plan.")
    text = "".join(out)
    bom = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    return bom + text.encode()


def switch_edits(
    path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
) -> tuple[Edit, ...]:
    """Return no edits: a sheet names no working space; each row speaks for itself."""
    return ()


def space_name(reading: str) -> str:
    """Return the reading: a sheet declares by Color Interop ID."""
    return reading


def colour_text(written: str, colours: Sequence[tuple[float, float, float]]) -> str:
    """Return the one colour of a row: three numbers, parted by spaces."""
    return " ".join(f"{v:.9g}" for v in colours[0])


def reference_text(relative_path: str) -> str:
    """Return a relative path as it is written in this format: as it is."""
    return relative_path


def _trouble(cell: dict[str, str]) -> str:
    slot, channels = cell.get("slot", ""), cell.get("channels", "").lower()
    if slot not in SLOTS:
        return f"the slot {slot!r} is not known; use one of {', '.join(SLOTS)}"
    if channels and (set(channels) - set("rgba") or len(set(channels)) != len(channels)):
        return f"the channels {channels!r} are not letters of rgba"
    if cell["path"]:
        return ""
    kelvin = _kelvin(cell.get("value", ""))
    if kelvin is not None:
        least, most = PLANCKIAN_RANGE
        inside = least <= kelvin <= most
        return "" if inside else f"{kelvin:g} K is not between {least:g} and {most:g} K"
    numbers = cell.get("value", "").split()
    try:
        values = [float(n) for n in numbers]
    except ValueError:
        values = []
    if len(values) == 3 and all(abs(v) <= LARGEST for v in values):
        return ""
    return "neither a path nor three numbers (or kelvin, as in 3200K) in 'value'"


def _kelvin(text: str) -> float | None:
    """Return the colour temperature that a value says, as in ``3200K``; None if it says none."""
    match = _TEMPERATURE.fullmatch(text)
    return float(match[1]) if match else None


def _rows(data: bytes, name: str) -> list[_Row]:
    """Split a CSV into records, each with the exact text it stands in."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            f"Cannot read {name}: it is not UTF-8 text.", "Save it as UTF-8."
        ) from error
    lines = list(io.StringIO(text, newline="")) if "\x00" not in text else []
    reader = csv.reader(iter(lines), delimiter=_delimiter(lines), strict=True)
    rows, first = [], 0
    try:
        for cells in reader:
            last = reader.line_num
            rows.append(_Row("".join(lines[first:last]), tuple(cells), first + 1))
            first = last
    except csv.Error as error:
        raise InputError(
            f"Cannot read {name}: line {reader.line_num} is no CSV ({error}).", "Mend this line."
        ) from error
    if not rows:
        raise InputError(f"Cannot read {name}: it is no CSV text.", "Give a scene sheet.")
    return rows


def _columns(rows: list[_Row], name: str) -> dict[str, int]:
    columns = {cell.strip().lower(): at for at, cell in enumerate(rows[0].cells)}
    missing = {"path", "slot"} - set(columns)
    if missing:
        raise InputError(
            f"{name} is no scene sheet: its first line has no column "
            f"{' and '.join(sorted(missing))}.",
            "Name the columns path,owner,slot,channels,space,value.",
        )
    return columns


def _delimiter(lines: list[str]) -> str:
    head = lines[0] if lines else ""
    return max(",;\t", key=head.count)


def _cell(row: _Row, at: int) -> str:
    return row.cells[at].strip() if at < len(row.cells) else ""


def _line(cells: list[str], old: str, delimiter: str) -> str:
    return _csv_line(cells, delimiter) + old[len(old.rstrip("\r\n")) :]


def _csv_line(cells: Sequence[str], delimiter: str = ",") -> str:
    """Return cells as CSV without a line end; the writer quotes only breaks of its own line end."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter, lineterminator="\r\n").writerow(cells)
    return out.getvalue().removesuffix("\r\n")


def settings_rows(rows: Sequence[dict[str, str]]) -> Iterator[str]:
    """Yield the lines of a settings sheet: a scene sheet with more columns.

    A cell that a spreadsheet would take for a formula is written behind an apostrophe.
    """
    columns = list(rows[0]) if rows else ["path", "owner", "slot", "channels", "space", "value"]
    for cells in (columns, *([row[c] for c in columns] for row in rows)):
        yield _csv_line([_harmless(c) for c in cells]) + "\n"


def _harmless(cell: str) -> str:
    return (
        f"'{cell}" if cell[:1] in {"=", "+", "-", "@", "\t", "\r"} and not _number(cell) else cell
    )


def _number(cell: str) -> bool:
    try:
        [float(part) for part in cell.split()]
    except ValueError:
        return False
    return True
