"""Which house conventions hold for a target: those the user names, else those found beside it.

A file that is found is whoever's who may write there. So it is looked for no higher than a scene
may reach without asking anyone, and what it can say reaches no further (see :mod:`.read`).
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from primecoat.errors import InputError
from primecoat.house.conventions import NO_HOUSE, House
from primecoat.house.read import read_house

FILE_NAME = "primecoat.toml"

NONE = "none"
"""What a user names to have no conventions at all."""

VARIABLE = "PRIMECOAT_HOUSE"
"""Environment variable that names the file for all runs."""


def house_for(target: Path, roots: Sequence[Path] = (), asked: str | None = None) -> House:
    """Return the conventions that hold for a target.

    Parameters
    ----------
    target
        Scene file or folder; need not be there.
    roots
        Folders that the scene may reach, as the user names them.
    asked
        File that the user names, or ``none``; by default ``$PRIMECOAT_HOUSE``, else what is found.

    Raises
    ------
    InputError
        If the file cannot be read or understood.
    """
    asked = asked or os.environ.get(VARIABLE) or None
    if asked == NONE:
        return NO_HOUSE
    if asked is not None:
        return read_house(Path(os.path.abspath(asked)), named=True)
    found = find_house(target, roots)
    return NO_HOUSE if found is None else read_house(found, named=False)


def find_house(target: Path, roots: Sequence[Path] = ()) -> Path | None:
    """Return the nearest ``primecoat.toml`` of a target; None if there is none.

    Looked for in the target's folder and upwards to the highest of ``roots`` that it lies in;
    without roots, of a scene file also in the folder above its own.

    Raises
    ------
    InputError
        If it is a link that leads out of its folder.
    """
    home, top = _from_to(target, roots)
    for folder in (home, *home.parents):
        file = folder / FILE_NAME
        if file.is_file():
            if file.resolve().parent != folder.resolve():
                raise InputError(
                    f"{file} is a link to {file.resolve()}, which lies elsewhere.",
                    f"If you trust it, name it: --house {file.resolve()}; "
                    "else leave it out: --house none.",
                )
            return file
        if folder == top:
            return None
    return None


def house_further_up(
    target: Path, roots: Sequence[Path] = (), asked: str | None = None
) -> Path | None:
    """Return the nearest ``primecoat.toml`` that is not read because it lies too far up, if any.

    It is named so that nobody takes the house's word for heard; nothing of it is read. None if
    conventions hold already, or the user said which.

    Parameters
    ----------
    target, roots, asked
        As for :func:`house_for`.
    """
    if asked or os.environ.get(VARIABLE) or find_house(target, roots) is not None:
        return None
    _, top = _from_to(target, roots)
    return next((f / FILE_NAME for f in top.parents if (f / FILE_NAME).is_file()), None)


def _from_to(target: Path, roots: Sequence[Path]) -> tuple[Path, Path]:
    """Return the folder that the search begins in, and the highest that it comes to."""
    target = Path(os.path.abspath(target))
    home = target if target.is_dir() else target.parent
    above = [Path(os.path.abspath(root)) for root in roots]
    reach = [root for root in above if home.is_relative_to(root)]
    top = min(reach, key=lambda r: len(r.parts)) if reach else home
    if not above and home != target:
        top = home.parent
    return home, top
