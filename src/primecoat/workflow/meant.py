"""What a person means by the target of undo or recover, and how far that reaches."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from primecoat.apply.reach import own_reach
from primecoat.errors import UseError
from primecoat.house import house_for
from primecoat.plan.plan import load_plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """A target of undo or recover.

    Parameters
    ----------
    home
        Folder beside which its journal should lie.
    wanted
        The scene or folder, absolute.
    reach
        Folders, absolute, in which files may be changed: its own, those of the plan that was
        named, and the roots that a person or the house gives.
    """

    home: Path
    wanted: Path
    reach: tuple[Path, ...]


def meant_by(target: Path, roots: Sequence[Path] = (), house: Path | str | None = None) -> Meant:
    """Return what is meant by a plan file, a scene (old or new) or a folder.

    Parameters
    ----------
    roots, house
        As for a survey.

    Raises
    ------
    UseError
        If there is no such file or folder.
    InputError
        If the plan or the house's conventions cannot be read.
    """
    target = Path(os.path.abspath(target))
    if not target.exists() and not target.parent.is_dir():
        raise UseError(f"There is no file or folder {target}.", "Check the name.")
    for root in roots:
        if not root.is_dir():
            raise UseError(f"There is no folder {root} to be a root.", "Check the name.")
    planned: tuple[Path, ...] = ()
    home = target if target.is_dir() else target.parent
    if target.suffix.lower() == ".json" and target.is_file():
        plan = load_plan(target)
        home, target, planned = plan.home, plan.target, plan.roots
    given = tuple(Path(os.path.abspath(root)) for root in roots)
    if not given:
        given = house_for(target, (), None if house is None else str(house)).roots
    return Meant(home=home, wanted=target, reach=(own_reach(target), *planned, *given))
