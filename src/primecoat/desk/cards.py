"""The test cards that lie with a scene, the renders of them, and what was read from those."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from primecoat import workflow
from primecoat.desk.errors import AbsentError, StaleError
from primecoat.desk.session import Session
from primecoat.desk.stamps import stamp_of
from primecoat.errors import RefusedError, UseError
from primecoat.files import make_folder, state_folder
from primecoat.inventory.take import IMAGE_SUFFIXES
from primecoat.proof.card import CardReading, WrittenCard
from primecoat.workflow.listing import image_id

NAME = "test-card"
"""Folder of the first card; others get a number."""
FOLDER = "cards"
"""Within the state folder, where the target is a folder: a survey does not look there."""
RECORD = "card.json"

_MOST = 200
"""Most cards, and most renders in the folder of one, that are looked for."""
_KEPT = 8
"""Readings that are held."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCard:
    """A render that was read.

    Parameters
    ----------
    key
        Stands for the render as it was, and for what was said of it.
    said_space
        What a person said that its numbers are in.
    """

    key: str
    found: CardReading
    said_space: str | None


class Cards:
    """What all windows of a desk share about test cards."""

    def __init__(self, session: Session, named: tuple[str, ...] = ()) -> None:
        self._session = session
        self._named = named
        self._lock = threading.Lock()
        self._read: dict[str, ReadCard] = {}

    @property
    def next(self) -> Path:
        """Folder that the next card is written to."""
        for number in range(1, _MOST):
            folder = self._numbered(number)
            if not folder.exists() and not folder.is_symlink():
                return folder
        raise UseError(
            f"There are {_MOST} test cards in {self._parent} already.", "Remove older ones."
        )

    @property
    def written(self) -> tuple[Path, ...]:
        """Folders with a card in them, in order."""
        folders = (self._numbered(number) for number in range(1, _MOST))
        return tuple(f for f in folders if not f.is_symlink() and (f / RECORD).is_file())

    def renders(self) -> Mapping[str, Path]:
        """Return the renders that can be read, by their ids: those named, then the newest first."""
        found = [Path(name) for name in self._named]
        beside = [path for folder in self.written for path in _pictures(folder)]
        beside.sort(key=lambda path: (-path.stat().st_mtime_ns, path.name))
        return {image_id(str(path)): path for path in (*found, *beside)}

    def write(self, name: str) -> WrittenCard:
        """Write a card into the folder that a window was told of.

        Raises
        ------
        StaleError
            If another folder is next now.
        RefusedError
            If the folder would not lie with the scene.
        UseError
            If it cannot be written to.
        """
        with self._lock:
            folder = self.next
            if folder.name != name:
                raise StaleError(
                    f"{name} is there already; nothing was written.",
                    f"The next card goes into {folder.name}: write it there.",
                )
            if self._hidden:
                state = state_folder(self._session.home, create=True)
                make_folder(state / FOLDER)
            if not folder.parent.resolve().is_relative_to(self._session.home.resolve()):
                raise RefusedError(f"{folder.parent} leads away from the scene.", "Remove it.")
            try:
                folder.mkdir()
            except OSError as error:
                raise RefusedError(
                    f"Cannot make {folder}: {error.strerror}.", "Give yourself write rights."
                ) from error
            return workflow.write_card(folder, config=self._session.asked.config)

    def read(self, id: str, space: str | None, view: str | None) -> ReadCard:
        """Read a render, or give what was read of it.

        Raises
        ------
        AbsentError
            If there is no such render.
        UseError
            If there is no card in it, or no space or view as said.
        ImageError
            If it cannot be read.
        """
        path = self.renders().get(id)
        if path is None:
            raise AbsentError(
                "There is no such render.", "Look again, and choose one of those there are."
            )
        config = self._session.state.survey.readings.config
        facts = (str(path), stamp_of(path), space, view, config)
        key = hashlib.sha256(repr(facts).encode()).hexdigest()[:20]
        held = self._read.get(key)
        if held is None:
            views = () if view is None else (view,)
            found = workflow.read_card(path, space=space, views=views, config=config)
            held = ReadCard(key=key, found=found, said_space=space)
            with self._lock:
                self._read[key] = held
                for old in list(self._read)[:-_KEPT]:
                    del self._read[old]
        return held

    def held(self, key: str) -> ReadCard:
        """Return what was read.

        Raises
        ------
        StaleError
            If it is not held any more.
        """
        held = self._read.get(key)
        if held is None:
            raise StaleError("This reading is not held any more.", "Read the render again.")
        return held

    @property
    def _hidden(self) -> bool:
        return self._session.asked.target.is_dir()

    @property
    def _parent(self) -> Path:
        home = self._session.home
        return state_folder(home) / FOLDER if self._hidden else home

    def _numbered(self, number: int) -> Path:
        return self._parent / (NAME if number == 1 else f"{NAME}_{number}")


def _pictures(folder: Path) -> Iterator[Path]:
    """Yield the pictures in the folder of a card that lie there themselves, no links."""
    for path in sorted(folder.iterdir())[:_MOST]:
        if path.suffix.lower() in IMAGE_SUFFIXES and path.is_file() and not path.is_symlink():
            yield path
