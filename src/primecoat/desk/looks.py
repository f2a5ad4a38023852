"""The looks that a desk wrote: where they lie, and how they are taken away again."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from pathlib import Path

from primecoat import workflow
from primecoat.desk.errors import AbsentError
from primecoat.errors import UseError
from primecoat.files import state_folder
from primecoat.renders.match.files import WrittenLook
from primecoat.renders.match.model import Match

FOLDER = "looks"
"""Within the state folder beside the scene; a survey does not look there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedLook:
    """A look that was written.

    Parameters
    ----------
    name
        Of its folder.
    folder
        Where its files are.
    written
        The files.
    """

    name: str
    folder: Path
    written: tuple[WrittenLook, ...]


class Looks:
    """What this desk wrote; each look has a folder of its own, named by number."""

    def __init__(self, home: Path) -> None:
        self._home = home
        self._lock = threading.Lock()
        self._saved: dict[str, SavedLook] = {}

    @property
    def saved(self) -> tuple[SavedLook, ...]:
        """All that were written and not taken away."""
        return tuple(self._saved.values())

    def save(self, found: Match) -> SavedLook:
        """Write a look into a new folder; nothing there is written over.

        Raises
        ------
        UseError
            If the folder cannot be made.
        RefusedError
            If a file does not do what its numbers say when it is read back.
        """
        with self._lock:
            folder = self._new_folder()
            try:
                written = workflow.save_match(found, folder)
            except BaseException:
                folder.rmdir()
                raise
            look = SavedLook(name=folder.name, folder=folder, written=written)
            self._saved[look.name] = look
            return look

    def take_away(self, name: str) -> tuple[Path, ...]:
        """Remove the files of a look, if they are as they were written.

        Raises
        ------
        AbsentError
            If this desk wrote no such look.
        RefusedError
            If a file was changed since.
        """
        with self._lock:
            look = self._saved.get(name)
            if look is None:
                raise AbsentError(
                    "This desk wrote no such look.", "Remove an older one by its folder."
                )
            gone = workflow.take_look_away(look.written, look.folder)
            del self._saved[name]
            return gone

    def _new_folder(self) -> Path:
        within = state_folder(self._home, create=True) / FOLDER
        try:
            within.mkdir(parents=True, exist_ok=True)
            number = 1
            while True:
                try:
                    (within / f"look-{number}").mkdir()
                    return within / f"look-{number}"
                except FileExistsError:
                    number += 1
        except OSError as error:
            raise UseError(
                f"Cannot make a folder in {within}: {error.strerror}.", "Check its rights."
            ) from error
