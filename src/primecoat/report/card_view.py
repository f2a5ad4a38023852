"""A render of the test card, read, as a table for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.proof.card.model import CardReading, InputReading
from primecoat.proof.card.remedies import advice, remedy
from primecoat.proof.card.write import WrittenCard
from primecoat.report.card_words import (
    exposure_words,
    read_words,
    sure_words,
    view_words,
    working_words,
)


def card_view(found: CardReading) -> RenderableType:
    """Return how each input was read, what the working space and the view were, what to set."""
    firm = found.working_standing in ("settled", "likely")
    working = found.working[0].reading if firm else None
    inputs = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("", "input", "read as", "sure"):
        inputs.add_column(name, no_wrap=name in ("", "sure"), overflow="fold")
    for one in found.inputs:
        sure = sure_words(one.confidence) if one.answers else ""
        inputs.add_row(_mark(one), one.words, read_words(one), sure)
    words = [text for one in found.inputs if (text := remedy(one, working))]
    parts: list[RenderableType] = [_whole(found), Text(""), inputs]
    to_do = [*advice(found), *dict.fromkeys(words)]
    if to_do:
        parts += [Text(""), Text("What to do", style="bold")]
        parts += [Text(f"- {text}") for text in to_do]
    parts.append(Text(f"Config {found.config}."))
    return Group(*parts)


def written_view(written: WrittenCard) -> RenderableType:
    """Return where the card is and what its scenes cannot express."""
    lines = [Text(f"The test card is in {written.folder}:")]
    lines += [Text(f"  {path.relative_to(written.folder)}") for path in written.files]
    for name, lacks in written.record["cannot"].items():
        lines += [Text(f"{name} has not: {words}.") for words in lacks]
    lines.append(Text("Render one of the scenes through its own camera, then: primecoat card read"))
    return Group(*lines)


def _whole(found: CardReading) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_row("working space", working_words(found))
    first, *more = view_words(found)
    table.add_row("view", first)
    for words in more:
        table.add_row("", words)
    if exposure := exposure_words(found):
        table.add_row("exposure", exposure)
    return table


def _mark(one: InputReading) -> str:
    if not one.seen_at_all:
        return "-"
    return {True: "", False: "!", None: "?"}[one.as_made]
