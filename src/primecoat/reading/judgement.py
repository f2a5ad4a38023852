"""What the evidence comes to: a reading with a standing, for each use and for the image."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from primecoat.images.layers import Layer
from primecoat.inventory import ImageRecord, SceneUse
from primecoat.reading.evidence import Evidence

Standing = Literal["settled", "likely", "conflicting", "unknown", "overruled"]

FIRM: tuple[Standing, ...] = ("settled", "overruled")
"""Standings on which primecoat acts without asking."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A reading and how probable the evidence makes it (0 to 1)."""

    reading: str
    confidence: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The outcome of weighing.

    Parameters
    ----------
    confidence
        Probability of the best reading that has a name, 0 to 1.
    candidates
        Readings that come into question, the most probable first.
    colour
        Probability that the picture is colour, in a space with a name or without one; None where
        nothing was said.
    """

    reading: str
    standing: Standing
    confidence: float
    candidates: tuple[Candidate, ...]
    colour: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UseReading:
    """How one use must read the image, and how it is read today."""

    scene_use: SceneUse
    judgement: Judgement
    today: str
    today_why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartReading:
    """How one part of an image file, or one layer of a part, must be read.

    Parameters
    ----------
    name, index
        Name of the part, which may be empty, and its number in the file, from 0.
    layer
        Its channels, which share this reading.
    is_main
        Whether it is the picture that the image's own reading is about.
    """

    name: str
    index: int
    layer: Layer
    is_main: bool
    judgement: Judgement
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageReading:
    """How an image must be read, with everything that was said about it.

    Parameters
    ----------
    judgement
        Reading of its main part: the colour, or else the first channels, of the first one.
    parts
        Every part and layer in the file's order, if there is more than one.
    heard
        What was said of the picture whatever its uses are and persons say; kept for judging again.
    """

    record: ImageRecord
    uses: tuple[UseReading, ...]
    judgement: Judgement
    content: str
    evidence: tuple[Evidence, ...]
    parts: tuple[PartReading, ...] = ()
    heard: tuple[Evidence, ...] = field(default=(), repr=False, compare=False)

    @property
    def reading(self) -> str:
        """The reading of the image as a whole."""
        return self.judgement.reading

    @property
    def standing(self) -> Standing:
        """The standing of that reading."""
        return self.judgement.standing
