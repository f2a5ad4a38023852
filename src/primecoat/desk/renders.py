"""The two renders that a desk was opened with, and how a person says they must be read."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from primecoat import workflow
from primecoat.colour.ocio import config_name
from primecoat.colour.ocio.kept import stamp as config_stamp
from primecoat.desk.errors import AbsentError, StaleError
from primecoat.desk.stamps import stamp_of
from primecoat.errors import PrimecoatError, UseError
from primecoat.renders.figures import Comparison
from primecoat.renders.frame import open_frame, sequence
from primecoat.renders.match.model import Match
from primecoat.renders.match.sight import Sight


@dataclass(frozen=True, slots=True, kw_only=True)
class Renders:
    """Old and new render, with what a person says of them; as for ``compare`` and ``match``."""

    old: str
    new: str
    in_old: str | None = None
    in_new: str | None = None
    view_old: str | None = None
    view_new: str | None = None
    display: str | None = None
    corrections: str | None = None
    corrections_in: str | None = None
    corrections_gives: str | None = None
    corrections_clamp: bool | None = None

    def said(self) -> dict[str, Any]:
        """Return what is said of them, by the names of the workflow's functions."""
        return {
            "in_a": self.in_old,
            "in_b": self.in_new,
            "view_a": self.view_old,
            "view_b": self.view_new,
            "display": self.display,
        }

    def said_of_old(self) -> dict[str, Any]:
        """Return what is said of the old render's corrections, in the same way."""
        return {
            "old_corrections": self.corrections,
            "old_corrections_in": self.corrections_in,
            "old_corrections_gives": self.corrections_gives,
            "old_corrections_clamp": self.corrections_clamp,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedRenders:
    """Renders as they are seen.

    Parameters
    ----------
    key
        Stands for the files as they are, the config, and what was said.
    said
        What was said.
    sights
        Number (of a sequence) and sight of each frame.
    """

    key: str
    said: Renders
    sights: tuple[tuple[int | None, Sight], ...]

    def sight(self, frame: int) -> Sight:
        """Return how a frame is seen, counted from 0."""
        if not 0 <= frame < len(self.sights):
            raise AbsentError("The renders have no such frame.", "Choose one of those there are.")
        return self.sights[frame][1]


class TwoRenders:
    """What all windows of a desk share about the two renders; opened again when a file changes."""

    def __init__(self, asked: Renders, config: str | None) -> None:
        self.config = config_name(config)
        self._said = asked
        self._lock = threading.RLock()
        self._opened: OpenedRenders | None = None
        self._compared: tuple[str, Comparison] | None = None
        self._fit: tuple[str, Match] | None = None

    @property
    def said(self) -> Renders:
        """What was said last that could be done."""
        return self._said

    def opened(self) -> OpenedRenders:
        """Return the renders as they are seen.

        Raises
        ------
        UseError
            If something must be said first, or they do not lie on each other.
        ImageError
            If one cannot be read.
        """
        with self._lock:
            self._opened = self._open(self._said)
            return self._opened

    def say(self, said: Renders) -> OpenedRenders:
        """Take how a person says that they are read; if it cannot be done nothing changes."""
        with self._lock:
            opened = self._open(said)
            self._said, self._opened = said, opened
            return opened

    def expect(self, key: str) -> OpenedRenders:
        """Return the renders, if they are still as a window shows them.

        Raises
        ------
        StaleError
            If a file changed, or somebody said how they are read.
        """
        opened = self.opened()
        if opened.key != key:
            raise StaleError(
                "The renders changed, or are read in another way, since this window showed them.",
                "Lay them out again.",
            )
        return opened

    def compared(self, key: str) -> Comparison:
        """Compare them as the verb does; once, as long as nothing changes."""
        opened = self.expect(key)
        if self._compared is None or self._compared[0] != key:
            said, pair = opened.said, opened.sights[0][1].pair
            views = [
                None if frame.display_referred else seen.view
                for frame, seen in ((pair.a, pair.seen_a), (pair.b, pair.seen_b))
            ]
            seen_through = {"view_a": views[0], "view_b": views[1]}
            found = workflow.compare(
                said.old,
                said.new,
                **{**said.said(), **seen_through},
                colour_only=True,
                config=self.config,
            )
            self._compared = key, found
        return self._compared[1]

    def take_fit(self, key: str, found: Match) -> None:
        """Hold a match."""
        self._fit = key, found

    def fit(self, key: str) -> Match | None:
        """Return the match of these renders, if they were matched."""
        return self._fit[1] if self._fit is not None and self._fit[0] == key else None

    def sides(self) -> Mapping[str, Mapping[str, Any]]:
        """Say of each render which space it is in and who says so, or why nobody can tell."""
        said = self._said
        return {
            side: self._side(name, space)
            for side, name, space in (
                ("old", said.old, said.in_old),
                ("new", said.new, said.in_new),
            )
        }

    def _side(self, name: str, space: str | None) -> Mapping[str, Any]:
        try:
            frame = open_frame(sequence(name)[0], space=space, config=self.config)
        except PrimecoatError as error:
            lacking = isinstance(error, UseError) and space is None
            return {"space": None, "said_by": None, "asked": lacking, "why": error.message}
        return {"space": frame.space, "said_by": frame.said_by, "asked": False, "why": ""}

    def _open(self, said: Renders) -> OpenedRenders:
        files = [*sequence(said.old), *sequence(said.new)]
        if said.corrections is not None:
            files.append(Path(said.corrections.split("#")[0]))
        facts = [said, config_stamp(self.config), *((str(f), stamp_of(f)) for f in files)]
        key = hashlib.sha256(repr(facts).encode()).hexdigest()[:20]
        if self._opened is not None and self._opened.key == key:
            return self._opened
        sights = workflow.seen_together(
            said.old, said.new, **said.said(), **said.said_of_old(), config=self.config
        )
        return OpenedRenders(key=key, said=said, sights=sights)
