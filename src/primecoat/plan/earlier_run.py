"""A scene that an earlier run wrote is not replaced by one that lacks what that run did."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from primecoat.location import counted
from primecoat.reading.asked import Again
from primecoat.scenes.model import Edit


def loss(
    source: Path, target: Again, standing: Mapping[str, str], edits: Iterable[Edit]
) -> tuple[str, str] | None:
    """Return what a scene would lose by being written anew, and what to do; None if nothing.

    Parameters
    ----------
    source
        The scene that is planned from.
    target
        The scene that earlier runs wrote, as a command names it.
    standing
        What those runs put there: place, text.
    edits
        What would be changed now, of the source.

    Examples
    --------
    >>> edit = Edit(place="row 2/path", before="bowl.png", after="bowl_data.png")
    >>> primed = Again(target=Path("/a/t.primed.csv"))
    >>> loss(Path("/a/t.csv"), primed, {"row 2/path": "bowl_data.png"}, [edit])
    >>> why, _ = loss(Path("/a/t.csv"), primed, {"row 2/path": "b.exr"}, [edit])
    >>> why.split("; ")[1]
    'from there this plan would drop 1 change (b.exr at row 2/path), so nothing is planned.'
    """
    wanted = {edit.place: edit.after for edit in edits}
    lost = [place for place, text in standing.items() if wanted.get(place) != text]
    if not lost:
        return None
    return (
        f"An earlier run wrote it from {source.name}; from there this plan would drop "
        f"{counted(len(lost), 'change')} ({standing[lost[0]]} at {lost[0]}), so nothing is "
        "planned.",
        f"Go on from the new scene: {target.command('plan')}. "
        f"Or take the earlier run back first: {target.command('undo')}.",
    )
