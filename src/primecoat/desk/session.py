"""The one survey that all windows of a desk share, and what a window may act on."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from primecoat import workflow
from primecoat.apply.journal import Run, read_runs
from primecoat.checks.survey import Survey
from primecoat.desk.errors import AbsentError, StaleError
from primecoat.desk.events import Events
from primecoat.desk.plans import Plans
from primecoat.desk.renders import Renders
from primecoat.desk.stamps import Stamp, Stamps, difference, stamps_of
from primecoat.jobs import Progress
from primecoat.location import counted
from primecoat.reading.decisions import decisions_file
from primecoat.reading.judgement import ImageReading
from primecoat.workflow.listing import (
    ImageList,
    Listed,
    ListedImage,
    Pick,
    list_images,
    pick_images,
)
from primecoat.workflow.overview import Overview, overview
from primecoat.workflow.switching import Switch, switch_effects


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the desk was opened with."""

    target: Path
    roots: tuple[Path, ...] = ()
    from_space: str | None = None
    to_space: str | None = None
    config: str | None = None
    house: str | None = None
    renders: Renders | None = None
    cards: tuple[str, ...] = ()

    def survey(self, *, verify: bool = False, progress: Progress | None = None) -> Survey:
        """Survey the target."""
        return workflow.survey(
            self.target,
            roots=self.roots,
            from_space=self.from_space,
            to_space=self.to_space,
            config=self.config,
            house=self.house,
            verify=verify,
            progress=progress,
        )

    def judge_again(self, survey: Survey) -> Survey:
        """Judge a survey again with the decisions as they are now; measure nothing."""
        return workflow.judge_again(survey, from_space=self.from_space)


class State:
    """A survey with its version and all that is worked out from it; never changed.

    Parameters
    ----------
    changed
        For each picture, by its id, the version in which its facts last changed.
    stamps
        The files it was read from, as they were.
    before
        The list of the state before, whose rows are used again where nothing changed.
    """

    def __init__(
        self,
        version: int,
        survey: Survey,
        changed: Mapping[str, int],
        stamps: Stamps,
        before: ImageList | None = None,
    ) -> None:
        self.version = version
        self.survey = survey
        self.changed = changed
        self.stamps = stamps
        self._picked: tuple[Pick, Listed] | None = None
        self._before = before
        self._switches: dict[tuple[str, str], Switch] = {}

    def numbered(self, version: int, changed: Mapping[str, int]) -> State:
        """Return the same under another version, with all that is worked out already."""
        other = State(version, self.survey, changed, self.stamps, self._before)
        for name in ("listing", "overview", "_images", "facts", "other_facts"):
            if name in self.__dict__:  # where ``cached_property`` keeps it
                other.__dict__[name] = self.__dict__[name]
        return other

    @cached_property
    def listing(self) -> ImageList:
        """All pictures as rows."""
        made = list_images(self.survey, before=self._before)
        self._before = None  # nor is what it held
        return made

    @property
    def rows(self) -> tuple[ListedImage, ...]:
        """All pictures, by path."""
        return self.listing.rows

    @cached_property
    def overview(self) -> Overview:
        """The survey, counted."""
        return overview(self.survey, self.rows)

    @cached_property
    def _images(self) -> dict[str, tuple[ListedImage, ImageReading]]:
        by_path = {image.record.path: image for image in self.survey.readings.images}
        return {row.id: (row, by_path[row.path]) for row in self.rows}

    @cached_property
    def facts(self) -> dict[str, tuple[Any, ...]]:
        """What a person may have acted on, for each picture by its id."""
        return {
            id: (row, tuple(measure.sha256 for measure in image.record.measures))
            for id, (row, image) in self._images.items()
        }

    @cached_property
    def other_facts(self) -> tuple[Any, ...]:
        """What a person may have acted on, beside the pictures."""
        readings = self.survey.readings
        values = (*readings.colours, *readings.lights)
        return (
            [(v.scene.name, v.value.location, v.value.value, v.reading, v.working) for v in values],
            self.survey.findings,
            readings.from_space,
        )

    def picked(self, pick: Pick) -> Listed:
        """Return the rows that are wanted; the last answer is kept for the next range of it."""
        kept = self._picked
        if kept is None or kept[0] != pick:
            kept = (pick, pick_images(self.listing, pick))
            self._picked = kept
        return kept[1]

    def switch(self, display: str, view: str) -> Switch:
        """Return what the switch changes, in numbers, through a view; worked out once."""
        if (display, view) not in self._switches:
            self._switches[display, view] = switch_effects(self.survey, display=display, view=view)
        return self._switches[display, view]

    def image(self, id: str) -> tuple[ListedImage, ImageReading]:
        """Return one picture by its id.

        Raises
        ------
        AbsentError
            If the survey has none.
        """
        found = self._images.get(id)
        if found is None:
            raise AbsentError("The survey has no such picture.", "Go back to the list.")
        return found

    def has(self, id: str) -> bool:
        """Whether there is such a picture."""
        return id in self._images


class Session:
    """What all windows share; every change of it is told to all.

    Attributes
    ----------
    state
        The survey in force; replaced whole, so whoever reads it needs no lock.
    stale
        What changed on disk behind the desk; empty if nothing did.
    changing
        Whether the desk itself is changing the files.
    plans
        The plans that were drawn up last.
    """

    def __init__(self, asked: Asked, survey: Survey, events: Events) -> None:
        self.asked = asked
        self.events = events
        self.writing = threading.RLock()
        self.stale = ""
        self.changing = False
        self.plans = Plans()
        self.state = State(1, survey, {}, stamps_of(survey))

    @property
    def home(self) -> Path:
        """Folder beside which the state folder lies."""
        return self.state.survey.readings.inventory.home

    def runs(self) -> tuple[Sequence[Run], bool]:
        """Return all runs of the journal, and whether the desk itself is at the open one."""
        before = self.changing  # it may begin or end while the journal is read
        found = read_runs(self.home)
        return found, before or self.changing

    def take(self, survey: Survey, why: str, read: Mapping[Path, Stamp]) -> State:
        """Hold another survey from now on; it gets a new version if anything differs.

        Parameters
        ----------
        read
            Stamps of files as they were when it was read from them; others are as they are now.
        """
        with self.writing:
            old = self.state
            stamps = {
                path: (read.get(path, stamp), words)
                for path, (stamp, words) in stamps_of(survey).items()
            }
            new = State(old.version, survey, old.changed, stamps, old.listing)
            differing = _differing(old.facts, new.facts)
            if differing or old.other_facts != new.other_facts:
                version = old.version + 1
                changed = {**old.changed, **dict.fromkeys(differing, version)}
                new = new.numbered(version, changed)
            self.state, self.stale = new, ""
        if new.version != old.version:
            self.events.tell("changed", version=new.version, why=why, stale=False)
        return new

    def look_outside(self) -> str:
        """Return what changed on disk behind the desk; empty if nothing; tell it once."""
        with self.writing:
            words = "" if self.changing else difference(self.state.stamps)
            news = words if words != self.stale else ""
            self.stale = words
        if news:
            version = self.state.version
            self.events.tell("changed", version=version, why="outside", stale=True, words=news)
        return words

    def expect(self, version: int, ids: Iterable[str] = (), *, whole: bool = False) -> State:
        """Return the state, if what a window knows of it still holds.

        Parameters
        ----------
        version
            The version that the window shows.
        ids
            Pictures that it acts on.
        whole
            Whether it acts on everything.

        Raises
        ------
        StaleError
            If the files changed on disk, or what it acts on is not as it shows it.
        """
        words = self.look_outside()
        state = self.state
        if words:
            raise StaleError(f"{words} Nothing was done.", "Survey again, then look once more.")
        newer = [id for id in ids if state.changed.get(id, 0) > version]
        if whole and version != state.version:
            raise StaleError(
                "The scene's state changed since this window showed it. Nothing was done.",
                "Look at what changed, then do it again.",
            )
        if newer:
            names = ", ".join(state.image(id)[0].path for id in newer[:3] if state.has(id))
            raise StaleError(
                f"{counted(len(newer), 'picture')} changed since this window showed it: "
                f"{names or 'gone now'}. Nothing was done.",
                "Look at what changed, then decide again.",
            )
        return state

    def decide(
        self, version: int, ids: Sequence[str], reading: str, because: str
    ) -> tuple[State, tuple[str, ...], tuple[str, ...]]:
        """Record a person's word on some pictures.

        Returns
        -------
        tuple
            The state after it, ids that were decided, ids of pictures that there are not.
        """
        with self.writing:
            state = self.expect(version, ids)
            known = tuple(dict.fromkeys(id for id in ids if state.has(id)))
            unknown = tuple(dict.fromkeys(id for id in ids if not state.has(id)))
            if known:
                paths = [state.image(id)[0].path for id in known]
                workflow.decide_all(state.survey, paths, reading, because=because)
                state = self._judge_again(state, "decided")
            return state, known, unknown

    def take_back(self, version: int, steps: int) -> tuple[State, tuple[str, ...]]:
        """Take the last decisions back; return the state after it and the paths it is about."""
        with self.writing:
            state = self.expect(version)
            paths = workflow.take_back(state.survey, steps)
            return self._judge_again(state, "taken back"), paths

    def _judge_again(self, state: State, why: str) -> State:
        read = {path: stamp for path, (stamp, _) in state.stamps.items()}
        read.pop(decisions_file(self.home), None)  # the one file that is read again
        return self.take(self.asked.judge_again(state.survey), why, read)


def _differing(
    old: Mapping[str, tuple[Any, ...]], new: Mapping[str, tuple[Any, ...]]
) -> Sequence[str]:
    return [id for id in {*old, *new} if old.get(id) != new.get(id)]
