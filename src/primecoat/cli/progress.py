"""A progress line on stderr for long work; silent where nobody watches."""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING

from primecoat import jobs

if TYPE_CHECKING:
    from rich.progress import Progress


@contextlib.contextmanager
def progress_bar(words: str) -> Iterator[jobs.Progress]:
    """Show how much of some work is done, how fast, and what time is left, while the block runs.

    Yields
    ------
    callable
        To be told numbers done and in all, and bytes done and in all.
    """
    with progress_bars(words) as (told,):
        yield told


@contextlib.contextmanager
def progress_bars(*words: str) -> Iterator[tuple[jobs.Progress, ...]]:
    """Show the same for several works, one after the other; each appears when it begins."""
    if not sys.stderr.isatty():
        yield tuple(jobs.silent for _ in words)
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[count]}"),
        TextColumn("{task.fields[rate]}"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        yield tuple(_told(progress, word) for word in words)


def _told(progress: Progress, words: str) -> jobs.Progress:
    task = progress.add_task(words, total=None, count="", rate="", visible=False)
    began = time.monotonic()

    def told(done: int, total: int, done_bytes: int, total_bytes: int) -> None:
        seconds = time.monotonic() - began
        progress.update(
            task,
            completed=done_bytes if total_bytes else done,
            total=total_bytes or total,
            count=f"{done}/{total}",
            rate=rate(done, done_bytes, seconds),
            visible=True,
        )

    return told


def rate(done: int, done_bytes: int, seconds: float) -> str:
    """Return how fast something goes, in words.

    Examples
    --------
    >>> rate(30, 60_000_000, 20.0)
    '1.5/s, 3.0 MB/s'
    >>> rate(30, 0, 20.0)
    '1.5/s'
    """
    if seconds <= 0:
        return ""
    words = f"{done / seconds:.1f}/s"
    return f"{words}, {done_bytes / seconds / 1e6:.1f} MB/s" if done_bytes else words
