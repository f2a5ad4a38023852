"""How far taking back and recovering may reach: a journal can come with a scene from anywhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from primecoat.errors import RefusedError


def own_reach(target: Path) -> Path:
    """Return the highest folder that a target reaches without anyone being asked.

    That is a folder itself; of a scene file the folder above its own, as for its references.

    Parameters
    ----------
    target
        Scene file or folder, absolute; need not be there.

    Examples
    --------
    >>> own_reach(Path("/works/tea/kitchen/tea.gltf")).as_posix()
    '/works/tea'
    """
    if target.is_dir():
        return target
    above = target.parent.parent
    return target.parent if above == above.parent else above


def reaches(folders: Iterable[Path], reach: Sequence[Path]) -> bool:
    """Whether all of some folders lie in those that may be reached, links followed."""
    allowed = [folder.resolve() for folder in reach]
    return all(any(f.resolve().is_relative_to(a) for a in allowed) for f in folders)


def refuse_wider(home: Path, folders: Iterable[Path], reach: Sequence[Path]) -> None:
    """Refuse a run whose roots reach further than was given.

    Parameters
    ----------
    home
        Folder beside which the journal lies.
    folders
        Roots that the run names, absolute.
    reach
        Folders, absolute, in which files may be changed.

    Raises
    ------
    RefusedError
        For the first root that does not lie in any of ``reach``.
    """
    for folder in folders:
        if not reaches((folder,), reach):
            allowed = " and ".join(dict.fromkeys(str(one) for one in reach))
            raise RefusedError(
                f"The journal in {home} names {folder} as a root of the run, outside {allowed}; "
                "nothing was changed.",
                f"If the run was made with that root, agree to it: --root {folder}. If the "
                f"journal came with the scene from elsewhere, take .primecoat out of {home}.",
            )
