"""A render of the test card, read, as a table for a terminal."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from primecoat.proof.card.candidates import words_of
from primecoat.proof.card.model import CardReading, InputReading
from primecoat.proof.card.remedies import advice, remedy
from primecoat.proof.card.write import WrittenCard


def card_view(found: CardReading) -> RenderableType:
    """Return how each input was read, what the working space and the view were, what to set."""
    firm = found.working_standing in ("settled", "likely")
    working = found.working[0].reading if firm else None
    inputs = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    for name in ("", "input", "read as", "sure"):
        inputs.add_column(name, no_wrap=name in ("", "sure"), overflow="fold")
    for one in found.inputs:
        sure = _sure(one.confidence) if one.answers else ""
        inputs.add_row(_mark(one), one.words, _read_as(one), sure)
    words = [text for one in found.inputs if (text := remedy(one, working))]
    parts: list[RenderableType] = [_whole(found, working), Text(""), inputs]
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


def _whole(found: CardReading, working: str | None) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    spaces = " or ".join(f"{a.reading} ({a.confidence:.0%})" for a in found.working)
    table.add_row("working space", working or spaces or "unknown")
    if found.view is None:
        table.add_row("view", "unknown: nothing tried explains the grey wedge")
    else:
        table.add_row("view", f"{found.view.words} ({_sure(found.view_confidence)})")
        for choice, share in found.views[1:]:
            table.add_row("", f"or {choice.words} ({_sure(share)})")
        others = [f"{view} on {display}" for display, view in found.view.names[1:]]
        if others:
            table.add_row("", f"the same: {'; '.join(others)}")
    if found.stops is not None:
        table.add_row("exposure", f"{found.stops:+.2f} stops from the card as it is written")
    return table


def _mark(one: InputReading) -> str:
    if not one.seen_at_all:
        return "-"
    return {True: "", False: "!", None: "?"}[one.as_made]


def _sure(confidence: float) -> str:
    """Return a confidence; nothing a model says is surer than its model."""
    return f"{confidence:.1%}" if confidence < 0.999 else "> 99.9%"


def _read_as(one: InputReading) -> str:
    made = words_of(one.made_as)
    if not one.answers:
        return f"unknown: nothing tried explains it; made as {made}"
    if one.standing == "ambiguous":
        told = [answer for answer in one.answers if answer.confidence > 0.01]
        return " or ".join(f"{words_of(a.reading)} ({a.confidence:.0%})" for a in told)
    best = one.answers[0]
    name = words_of(best.reading)
    if one.as_made or not one.seen_at_all:
        return name
    same = ", ".join(words_of(other) for other in best.same)
    return f"{name}{f' (here the same as {same})' if same else ''}, made as {made}"
