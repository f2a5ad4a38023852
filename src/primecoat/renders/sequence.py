"""Numbered frames by one name: ``beauty.####.exr``, ``beauty.%04d.exr``, or one file."""

from __future__ import annotations

import re
from pathlib import Path

from primecoat.errors import UseError

_PLACE = re.compile(r"#+|%0?(\d*)d")


def sequence(name: Path | str) -> tuple[Path, ...]:
    """Return the files that a name stands for, in the order of their numbers.

    Raises
    ------
    UseError
        If it is a pattern and no file has such a name.
    """
    return tuple(path for _, path in numbered(name))


def numbered(name: Path | str) -> tuple[tuple[int | None, Path], ...]:
    """Return number and file of every frame; the number is None for a name without a pattern.

    A place of n signs (``####``, ``%04d``) takes numbers of n digits and longer ones; a single
    ``#`` and ``%d`` take any number.

    Raises
    ------
    UseError
        If it is a pattern and no file has such a name.
    """
    path = Path(name)
    places = list(_PLACE.finditer(path.name))
    if path.exists() or not places:
        return ((None, path),)
    place = places[-1]
    width = int(place[1] or 1) if place[0].startswith("%") else len(place[0])
    before, after = path.name[: place.start()], path.name[place.end() :]
    wanted = re.compile(rf"{re.escape(before)}(-?\d{{{width},}}){re.escape(after)}")
    try:
        entries = sorted(path.parent.iterdir())
    except OSError as error:
        raise UseError(f"There is no folder {path.parent}.", "Check the name.") from error
    found = [(int(met[1]), entry) for entry in entries if (met := wanted.fullmatch(entry.name))]
    if not found:
        raise UseError(f"No file has a name like {path}.", "Check folder, name and digits.")
    return tuple(sorted(found))
