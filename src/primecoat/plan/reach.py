"""Where a plan may write: below its root, nothing hidden, and only pictures and scenes."""

from __future__ import annotations

from pathlib import Path

from primecoat.inventory.take import IMAGE_SUFFIXES
from primecoat.plan.operations import Operation, WriteScene
from primecoat.scenes.registry import SUFFIXES


def leads_out(root: Path, path: str) -> bool:
    """Whether a path of an operation leads out of the root, or to what is hidden below it.

    Hidden is the state folder, and what people and programs keep their settings in.

    Parameters
    ----------
    root
        The plan's root, absolute.
    path
        Path relative to the root, as operations name it.

    Examples
    --------
    >>> leads_out(Path("/tea"), "../coffee/cup.png"), leads_out(Path("/tea"), "cup.png")
    (True, False)
    """
    pure = Path(path)
    if not path or "\x00" in path or pure.is_absolute() or pure.drive or ".." in pure.parts:
        return True
    if any(part.startswith(".") for part in pure.parts):
        return True
    return not (root / pure).parent.resolve().is_relative_to(root.resolve())


def writes_another_kind(operation: Operation) -> bool:
    """Whether an operation would write what is neither a scene nor a picture, by its ending.

    No plan of ours does; a plan or a journal from elsewhere could have any file of a known
    content replaced so.

    Examples
    --------
    >>> from primecoat.plan.operations import LinkImage
    >>> names = ("cup_data.png", "start.sh")
    >>> made = [LinkImage(source="cup.png", target=n, sha256="0", reading="data") for n in names]
    >>> [writes_another_kind(operation) for operation in made]
    [False, True]
    """
    ending = Path(operation.target).suffix.lower()
    if isinstance(operation, WriteScene):
        return ending not in SUFFIXES
    source = Path(operation.source).suffix.lower() if hasattr(operation, "source") else ""
    return ending not in IMAGE_SUFFIXES and (not ending or ending != source)
