"""Where something stands: a file, and the place inside it."""

from __future__ import annotations

import shlex
import unicodedata
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, order=True)
class Location:
    """A file and a place inside it.

    Parameters
    ----------
    file
        Path as shown to the user, relative to the root, ``/`` separators.
    place
        JSON pointer, prim path, ``row 7`` or the like; empty for the whole file.

    Examples
    --------
    >>> str(Location("tea.gltf", "/materials/0"))
    'tea.gltf#/materials/0'
    >>> str(Location("tea.csv"))
    'tea.csv'
    """

    file: str
    place: str = ""

    def __str__(self) -> str:
        """Return ``file#place``."""
        return f"{self.file}#{self.place}" if self.place else self.file


def counted(number: int, noun: str) -> str:
    """Return a number with its noun, in the plural where that is right.

    Examples
    --------
    >>> counted(1, "operation"), counted(0, "image")
    ('1 operation', '0 images')
    """
    return f"{number} {noun}{'s' * (number != 1)}"


def printable(text: str) -> str:
    r"""Return text with control and direction-changing characters escaped; spaces stay.

    Examples
    --------
    >>> printable("tex\n.png")
    'tex\\n.png'
    """
    if text.isprintable():
        return text
    return "".join(
        c
        if c.isprintable() or unicodedata.category(c) == "Zs"
        else c.encode("unicode_escape").decode()
        for c in text
    )


def pasteable(path: Path) -> str:
    """Return a path as a command that can be pasted names it: quoted for the shell.

    It is relative to the folder that the program runs in where it lies in that, else absolute.

    Examples
    --------
    >>> pasteable(Path("/pottery/tea set.usda"))
    "'/pottery/tea set.usda'"
    """
    here = Path.cwd()
    inside = path.relative_to(here) if path.is_relative_to(here) else path
    text = str(inside)
    return shlex.quote(f"./{text}" if text.startswith("-") else text)
