"""The folders of a run, each listed once, so that a large scene lists none twice."""

from __future__ import annotations

import os
from pathlib import Path

_MOST_FOLDERS = 20_000
"""A search by name stops after this many folders; it only ever adds a hint to a finding."""


class Folders:
    """Lists folders and remembers what was in them."""

    def __init__(self) -> None:
        self._names: dict[Path, dict[str, Path]] = {}
        self._index: dict[Path, dict[str, list[Path]]] = {}

    def __call__(self, folder: Path) -> dict[str, Path]:
        """Return the entries of a folder by name; empty where it cannot be listed."""
        if folder not in self._names:
            try:
                entries = {entry.name: Path(entry.path) for entry in os.scandir(folder)}
            except (OSError, ValueError):  # ValueError: a name that the system cannot hold
                entries = {}
            self._names[folder] = entries
        return self._names[folder]

    def under(self, root: Path, name: str) -> list[Path]:
        """Return the files of a name, whatever its case, anywhere under a folder."""
        if root not in self._index:
            self._index[root] = self._walk(root)
        return self._index[root].get(name.casefold(), [])

    def _walk(self, root: Path) -> dict[str, list[Path]]:
        found: dict[str, list[Path]] = {}
        for count, (at, folders, names) in enumerate(os.walk(root)):
            folders[:] = sorted(f for f in folders if not f.startswith("."))
            for name in sorted(names):
                found.setdefault(name.casefold(), []).append(Path(at) / name)
            if count >= _MOST_FOLDERS:
                break
        return found
