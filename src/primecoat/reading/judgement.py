"""What the evidence comes to: a reading with a standing, for each use and for the image."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
    """The outcome of weighing: reading, standing, confidence, rivals."""

    reading: str
    standing: Standing
    confidence: float
    candidates: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UseReading:
    """How one use must read the image, and how it is read today."""

    scene_use: SceneUse
    judgement: Judgement
    today: str
    today_why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageReading:
    """How an image must be read, with everything that was said about it."""

    record: ImageRecord
    uses: tuple[UseReading, ...]
    judgement: Judgement
    content: str
    evidence: tuple[Evidence, ...]

    @property
    def reading(self) -> str:
        """The reading of the image as a whole."""
        return self.judgement.reading

    @property
    def standing(self) -> Standing:
        """The standing of that reading."""
        return self.judgement.standing
