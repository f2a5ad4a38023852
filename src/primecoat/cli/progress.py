"""A progress line on stderr for long work; silent where nobody watches."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn


@contextlib.contextmanager
def progress_bar(words: str) -> Iterator[Callable[[int, int], None]]:
    """Show how much of some work is done, while the block runs.

    Yields
    ------
    callable
        To be told the number done and the number in all.
    """
    if not sys.stderr.isatty():
        yield lambda done, total: None
        return
    columns = (TextColumn(words), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(words, total=None)
        yield lambda done, total: progress.update(task, completed=done, total=total)
