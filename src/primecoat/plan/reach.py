"""Where a plan may write: below its root, and nowhere in the state folder."""

from __future__ import annotations

from pathlib import Path

from primecoat.files import STATE_FOLDER


def leads_out(root: Path, path: str) -> bool:
    """Whether a path of an operation leads out of the root, or into the state folder.

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
    if STATE_FOLDER in [part.lower() for part in pure.parts]:
        return True
    return not (root / pure).parent.resolve().is_relative_to(root.resolve())
