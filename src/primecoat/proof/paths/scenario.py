"""Ways to read a scene: as it is read today, as it must be read, and what lies between."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from primecoat.checks.survey import Survey
from primecoat.colour.ids import UNKNOWN
from primecoat.reading.judgement import FIRM, ImageReading, UseReading

WORKING: Final = {"rec709": "lin_rec709_scene", "ap1": "lin_ap1_scene"}
"""The working spaces that a path carries, by the name of the basis."""

TRACED: Final = frozenset(
    (
        *("base_color", "emissive", "environment", "normal"),
        *("roughness", "glossiness", "metalness", "opacity"),
    )
)
"""Slots whose pictures have a part in what is traced."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """How images, picked colours and lights are read.

    Parameters
    ----------
    basis
        Working space that light is computed in: ``rec709`` or ``ap1``.
    judged
        Paths of images that are read as they must be; the others are read as they are today.
    colours, lights
        Whether they are read by their own reading; else their numbers are taken for numbers of
        the working space, whichever it is.
    """

    basis: str
    judged: frozenset[str] = frozenset()
    colours: bool = False
    lights: bool = False

    @property
    def working(self) -> str:
        """The working space as a reading."""
        return WORKING[self.basis]


@dataclass(frozen=True, slots=True, kw_only=True)
class Misread:
    """An image that is not read today as it must be.

    Parameters
    ----------
    path
        As the survey names it.
    uses
        The uses that are misread.
    firm
        Whether the reading is settled, or a person's word; else it is the best answer.
    """

    path: str
    uses: tuple[UseReading, ...]
    firm: bool


def misread_images(survey: Survey) -> tuple[Misread, ...]:
    """Return the images that are misread today in a slot that is traced."""
    found = []
    for image in survey.readings.images:
        uses = tuple(use for use in image.uses if _is_misread(use))
        if uses:
            firm = all(use.judgement.standing in FIRM for use in uses)
            found.append(Misread(path=image.record.path, uses=uses, firm=firm))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Unseen:
    """An image that says nothing in a picture.

    Parameters
    ----------
    path
        As the survey names it.
    misread
        Whether it is misread today all the same.
    why
        Why it is not seen, in words.
    """

    path: str
    misread: bool
    why: str


def unseen_images(survey: Survey, coverage: Mapping[str, float]) -> tuple[Unseen, ...]:
    """Return the images that no pixel shows, or whose slots are not traced; misread ones first.

    Parameters
    ----------
    coverage
        Share of the picture that each image covers.
    """
    found = []
    for image in survey.readings.images:
        path, uses = image.record.path, image.uses
        if not uses:
            continue
        slots = {use.scene_use.use.slot for use in uses}
        if slots.isdisjoint(TRACED):
            why = f"{', '.join(sorted(slots))} is not traced"
        elif coverage.get(path, 0.0) == 0.0:
            why = "covers no pixel"
        else:
            continue
        misread = any(
            UNKNOWN not in (use.judgement.reading, use.today or UNKNOWN)
            and use.today != use.judgement.reading
            and use.scene_use.use.channels != "a"
            for use in uses
        )
        found.append(Unseen(path=path, misread=misread, why=why))
    return tuple(sorted(found, key=lambda one: (not one.misread, one.path)))


def undecided(survey: Survey) -> tuple[ImageReading, ...]:
    """Return the images with a traced use that has no reading: they stay as they are today."""
    return tuple(
        image
        for image in survey.readings.images
        if any(
            use.judgement.reading == UNKNOWN and use.scene_use.use.slot in TRACED
            for use in image.uses
        )
    )


def today(basis: str = "rec709") -> Scenario:
    """Return the scene as a program reads it that nobody primed it for."""
    return Scenario(basis=basis)


def explicit(survey: Survey, basis: str = "ap1") -> Scenario:
    """Return the scene with everything read as it must be."""
    judged = frozenset(one.path for one in misread_images(survey))
    return Scenario(basis=basis, judged=judged, colours=True, lights=True)


def reading_in(use: UseReading, path: str, scenario: Scenario) -> str:
    """Return how a use is read; ``unknown`` only where nobody knows anything."""
    judged, now = use.judgement.reading, use.today or UNKNOWN
    if path in scenario.judged or now == UNKNOWN:
        return judged if judged != UNKNOWN else now
    return now


def _is_misread(use: UseReading) -> bool:
    known = UNKNOWN not in (use.judgement.reading, use.today or UNKNOWN)
    traced = use.scene_use.use.slot in TRACED and use.scene_use.use.channels != "a"
    return known and traced and use.today != use.judgement.reading
