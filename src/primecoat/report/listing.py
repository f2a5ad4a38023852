"""A list of things with facts: a table where there is room, else each name with its facts below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

_GAP = 2
_WHOLE = 0.9
"""Share of the names that a table must hold whole; the few that are longer are folded in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """Rows of which the first cell is a name that must stay whole.

    Parameters
    ----------
    heads
        What stands above each column; in sentences, so that "head cell" can be read.
    rows
        At least one; the cells of each row, as many as there are heads. Heads and cells may have
        several lines.
    breaks
        Words after which a cell may go on in the next line; empty for none.
    """

    heads: Sequence[str]
    rows: Sequence[Sequence[Text]]
    breaks: str = ""

    def __rich_console__(
        self, console: Console, options: ConsoleOptions
    ) -> Iterator[RenderableType]:
        """Give the table, or the lines, that fit the console."""
        facts = [
            max(self._width(text) for text in (head, *(row[i].plain for row in self.rows)))
            for i, head in enumerate(self.heads[1:], 1)
        ]
        room = options.max_width - sum(facts) - _GAP * len(facts)
        names = sorted(cell_len(row[0].plain) for row in self.rows)
        if room >= max(cell_len(self.heads[0]), names[math.ceil(_WHOLE * len(names)) - 1]):
            yield self._table(facts)
        else:
            for row in self.rows:
                yield row[0]
                yield self._facts(row)

    def _width(self, text: str) -> int:
        lines = text.split("\n")
        if self.breaks:
            lines = [part for line in lines for part in _broken(line, self.breaks)]
        return max(cell_len(line) for line in lines)

    def _table(self, facts: Sequence[int]) -> Table:
        table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
        table.add_column(self.heads[0], overflow="fold")
        for head, width in zip(self.heads[1:], facts, strict=True):
            table.add_column(head, overflow="fold", min_width=width)
        for row in self.rows:
            table.add_row(*row)
        return table

    def _facts(self, row: Sequence[Text]) -> Padding:
        said = [
            Text.assemble((f"{' '.join(head.split())} ", "dim"), Text(", ").join(cell.split("\n")))
            for head, cell in zip(self.heads[1:], row[1:], strict=True)
            if cell.plain
        ]
        return Padding(Text("; ").join(said), (0, 0, 0, 4), expand=False)


def _broken(text: str, after: str) -> list[str]:
    *before, last = text.split(after)
    return [*(part + after for part in before), last]
