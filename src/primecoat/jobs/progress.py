"""What a caller is told while jobs run."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Told how far the jobs have come, each time one has ended."""

    def __call__(self, done: int, total: int, done_bytes: int, total_bytes: int, /) -> None:
        """Take the number of jobs that have ended and of all, and the bytes that they read."""
        ...


def silent(done: int, total: int, done_bytes: int, total_bytes: int, /) -> None:
    """Tell nobody: for work that nobody watches."""
