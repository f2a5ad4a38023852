"""One hostile input: how it is written, what is run on it, and the line that must come of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

Make = Callable[[Path], Path]
"""Writes the input into a folder, beside which lies ``outside``; returns the target."""

GIVES = ("--from", "lin_rec709_scene", "--gives", "lin_rec709_scene", "--json")
"""What a look-up file does not say itself."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """A hostile input.

    Parameters
    ----------
    make
        Writes it.
    words
        Must stand in one message: the error's line on stderr, or one finding.
    code
        Exit code: 2 refused whole, 1 a finding and the rest is read, 0 sound.
    command
        What is run, the target put in for None.
    """

    make: Make
    words: tuple[str, ...]
    code: int = 1
    command: tuple[str | None, ...] = ("survey", None, "--json")


def file(name: str, data: bytes | str) -> Make:
    """Return the writer of one file."""

    def make(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(data if isinstance(data, bytes) else data.encode())
        return path

    return make
