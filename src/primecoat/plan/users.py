"""Which scenes use which images: a change made for one scene must not break another."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from primecoat.errors import InputError
from primecoat.scenes.folders import Folders
from primecoat.scenes.registry import FORMATS, SUFFIXES
from primecoat.scenes.resolve import resolve


def scenes_under(folder: Path) -> Iterator[Path]:
    """Yield every file under a folder whose ending is that of a scene; no hidden folders."""
    for at, folders, names in os.walk(folder):
        folders[:] = [f for f in folders if not f.startswith(".")]
        for name in names:
            if Path(name).suffix.lower() in SUFFIXES:
                yield Path(at) / name


def scenes_using(scenes: Iterable[Path], roots: Sequence[Path]) -> dict[Path, Path]:
    """Return the images that some scenes use, each with one such scene.

    Parameters
    ----------
    scenes
        Scene files; one that cannot be read is passed over.
    roots
        Folders that references may reach.

    Returns
    -------
    dict
        Image, symbolic links followed, to scene file.
    """
    folders = Folders()
    found: dict[Path, Path] = {}
    for path in scenes:
        try:
            scene = FORMATS[SUFFIXES[path.suffix.lower()]].read(path, path.name, roots)
        except InputError:
            continue
        for reference in scene.references:
            if reference.embedded is None:
                text, place = reference.text, reference.location
                resolved = resolve(text, path.parent, roots, text, place, folders)
                found |= {file.resolve(): path for file in resolved.files}
    return found
