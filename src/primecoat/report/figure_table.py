"""A plain table of figures for a terminal."""

from __future__ import annotations

from rich.table import Table


def figure_table(first: str, *columns: str) -> Table:
    """Return an empty table: a column of words, then columns of figures set to the right."""
    table = Table(box=None, pad_edge=False, show_edge=False, header_style="bold")
    table.add_column(first, no_wrap=True)
    for name in columns:
        table.add_column(name, justify="right", no_wrap=True)
    return table
