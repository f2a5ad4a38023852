"""What a config reads a scene's files as, as tables for a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from rich.console import Group, JustifyMethod, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from primecoat.colour.ids import READINGS
from primecoat.colour.ocio import default_view_transform
from primecoat.config.agreement import VERDICTS, Verdict
from primecoat.config.config_rows import ConfigReading, ConfigRow, PathReading
from primecoat.config.file_reading import SHORT
from primecoat.config.misread_data import CODE_128, DataCost
from primecoat.config.misreading import ColourCost
from primecoat.location import counted, printable
from primecoat.report.listing import Listing

_TITLES: dict[Verdict, str] = {
    "misread": "Misread",
    "left open": "Left open: the config says that it does not know",
    "cannot say": "Nobody can say whether it is right",
    "agrees": "Read as they must be",
}


def config_read_view(reading: ConfigReading) -> RenderableType:
    """Return what a config makes of a scene: the rules that fired, then files by verdict."""
    parts: list[RenderableType] = []
    if reading.rows:
        parts += [_rules(reading.rows), Text("")]
    wrong = reading.having("misread")
    data = [row for row in wrong if row.kind == "data as colour"]
    colour = [row for row in wrong if row.kind != "data as colour"]
    if data:
        parts += [_title("Data misread as colour", data), _data_table(data), Text("")]
    if colour:
        parts += [_title("Colour misread", colour), _colour_table(colour), Text("")]
    for verdict in VERDICTS[1:]:
        rows = reading.having(verdict)
        if rows:
            parts += [_title(_TITLES[verdict], rows), _plain_table(rows), Text("")]
    notes = [*_notes(reading)]
    if notes:
        parts += [*notes, Text("")]
    return Group(*parts, Text(_summary(reading)))


def _title(words: str, rows: Sequence[ConfigRow]) -> Text:
    return Text(f"{words}: {counted(len(rows), 'file')}", style="bold")


def _rules(rows: Sequence[ConfigRow]) -> Table:
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("rule", "matches", "reads as", "which is", "files"):
        justify: JustifyMethod = "right" if name == "files" else "left"
        whole = name in ("which is", "files")
        table.add_column(name, overflow="fold", justify=justify, no_wrap=whole)
    paths = [row.by_path for row in rows]
    counts = Counter((p.reading.rule, p.reading.space) for p in paths)
    first = {(p.reading.rule, p.reading.space): p for p in reversed(paths)}
    for key in sorted(first):
        path = first[key]
        local = _local(path)
        table.add_row(
            Text(path.reading.rule_name),
            Text(_matches(path)),
            Text(local),
            Text(_meaning(path)),
            str(counts[key]),
        )
    return table


def _meaning(path: PathReading) -> str:
    if path.left_open or path.reads_as in READINGS:
        return path.reads_as
    return "no Color Interop ID"


def _matches(path: PathReading) -> str:
    pattern = path.reading.pattern
    if len(pattern) > SHORT:
        return f"a pattern of {len(pattern)} characters"
    if pattern:
        return pattern
    return "a space's name anywhere in the path" if path.reading.word else "all that is left"


def _data_table(rows: Sequence[ConfigRow]) -> Listing:
    def cells(cost: object) -> tuple[str, str, str]:
        if not isinstance(cost, DataCost):
            return "", "", ""
        return f"{cost.code_128:.3f}", f"{cost.most_off:.3f}", _turn(cost)

    return _listing(
        (
            "is read as",
            "by rule",
            f"{CODE_128:.3f}\narrives as",
            "a number is\noff up to",
            "normals\nturn by",
        ),
        ((row, *_read_as(row.misread_by), *cells(row.cost)) for row in rows),
    )


def _listing(heads: Sequence[str], rows: Iterable[tuple[ConfigRow, *tuple[str, ...]]]) -> Listing:
    texts = [[Text(printable(row.file)), *map(Text, cells)] for row, *cells in rows]
    return Listing(heads=("file", *heads), rows=texts)


def _read_as(path: PathReading) -> tuple[str, str]:
    return path.reads_as, path.reading.rule_name


def _turn(cost: DataCost) -> str:
    if cost.flat_turned is None:
        return ""
    most = max(cost.flat_turned, cost.most_turned or 0.0)
    return f"{cost.flat_turned:.0f} to {most:.0f}°" if most >= 0.5 else f"{most:.2f}°"


def _colour_table(rows: Sequence[ConfigRow]) -> Listing:
    def cells(row: ConfigRow) -> tuple[str, ...]:
        wanted = " and ".join(want.reading for want in row.wants)
        cost = _colour_cells(row.cost) if isinstance(row.cost, ColourCost) else ("", "")
        return wanted, *_read_as(row.misread_by), *cost

    return _listing(
        ("must be read as", "is read as", "by rule", "mid-grey", "CIEDE2000"),
        ((row, *cells(row)) for row in rows),
    )


def _colour_cells(cost: ColourCost) -> tuple[str, str]:
    if cost.nothing_changes:
        return "no change", "0.0" if cost.sampled else ""
    right, wrong = sum(cost.right) / 3, sum(cost.read) / 3
    stops = "black" if cost.stops is None else f"{cost.stops + 0.0:+.2f} stops"
    difference = "" if cost.mean is None else f"mean {cost.mean:.1f}\n95 % {cost.p95:.1f}"
    return f"{right:.1f} → {wrong:.1f}\n{stops}", difference


def _plain_table(rows: Sequence[ConfigRow]) -> Listing:
    return _listing(
        ("must be read as", "is read as", "by rule"),
        ((row, row.wanted, *_read_as(row.misread_by)) for row in rows),
    )


def _notes(reading: ConfigReading) -> Iterator[RenderableType]:
    for row in reading.rows:
        words = [*row.words]
        if row.by_path.reading.word:
            words.append(f"{_sentence(row.by_path)}.")
        for path in row.elsewise:
            words.append(
                f"Handed over as {path.reading.path} it is read as {path.reads_as}, "
                f"{path.verdict}: {path.reading.why}."
            )
        if words:
            yield Text(printable(row.file), style="bold")
            yield Padding(Text(printable(" ".join(words))), (0, 0, 0, 4), expand=False)
    for image, why in reading.silent:
        yield Text(printable(image), style="bold")
        yield Padding(Text(f"Not asked about: {why}."), (0, 0, 0, 4), expand=False)


def _sentence(path: PathReading) -> str:
    why = path.reading.why
    return why[0].upper() + why[1:]


def _summary(reading: ConfigReading) -> str:
    counts = Counter(row.verdict for row in reading.rows)
    said = ", ".join(f"{counts[v]} {_counted_as(v)}" for v in VERDICTS if counts[v])
    lines = [f"{counted(len(reading.rows), 'file')}: {said or 'none'}. Config {reading.config}."]
    window = reading.window
    costs = [row.cost for row in reading.rows if isinstance(row.cost, ColourCost)]
    if window and costs:
        pixels = max(cost.sampled for cost in costs)
        lines.append(
            "Mid-grey is 18 % of scene-linear light, in codes of 255 on "
            f"{window.display} through {window.view}; CIEDE2000 there, over {pixels} pixels of "
            "each file at most."
        )
    if any(row.kind == "display for scene" for row in reading.rows):
        lines.append(
            "A display's space in place of a scene's is worked out by the config's view transform "
            f"{default_view_transform(reading.config)}; a program that undoes a tone-mapping view "
            "instead shows other colours."
        )
    return "\n".join(lines)


def _counted_as(verdict: Verdict) -> str:
    return {"agrees": "right", "cannot say": "not known"}.get(verdict, verdict)


def _local(path: PathReading) -> str:
    return path.identity.local_name or path.reading.space
