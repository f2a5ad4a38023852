"""Plain tables for a terminal: of figures, and of words by name."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text


def figure_table(first: str, *columns: str) -> Table:
    """Return an empty table: a column of words, then columns of figures set to the right."""
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column(first, no_wrap=True)
    for name in columns:
        table.add_column(name, justify="right", no_wrap=True)
    return table


def named_rows(*rows: tuple[str, str | Text]) -> Table:
    """Return a table without a head: a name in each row, and words that are folded beside it."""
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    for name, words in rows:
        table.add_row(name, words)
    return table
