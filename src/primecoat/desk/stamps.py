"""Whether files that a survey was read from changed behind the desk: size, time, identity."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from primecoat.apply.journal import journal_file
from primecoat.checks.survey import Survey
from primecoat.house import FILE_NAME
from primecoat.reading.decisions import decisions_file

Stamp = tuple[int, int, int] | None
Stamps = Mapping[Path, tuple[Stamp, str]]
"""Files, each with its stamp (None where there is none) and what to call it."""


def stamp_of(path: Path) -> Stamp:
    """Return size, time of change in nanoseconds and inode of a file; None if there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns, found.st_ino


def stamps_of(survey: Survey) -> Stamps:
    """Return the stamps of scene files with their layers, decisions, journal and conventions.

    Pictures are not among them: a survey can have many thousands. A plan hashes every one anew.
    """
    inventory = survey.readings.inventory
    named = {
        decisions_file(inventory.home): "The decisions",
        journal_file(inventory.home): "The journal",
    }
    house = survey.readings.house.file
    for path in {inventory.home / FILE_NAME, *([house] if house else [])}:
        named[path] = "The house conventions"
    for scene in inventory.scenes:
        named[scene.path] = f"The scene {scene.name}"
        for layer in scene.layers:
            named[scene.path.parent / layer] = f"The layer {layer}"
    return {path: (stamp_of(path), words) for path, words in named.items()}


def difference(stamps: Stamps) -> str:
    """Return what is not as it was, in words; empty if all is."""
    changed = [words for path, (stamp, words) in stamps.items() if stamp_of(path) != stamp]
    if not changed:
        return ""
    more = f" and {len(changed) - 1} more files" if len(changed) > 1 else ""
    return f"{changed[0]}{more} changed on disk since the survey."
