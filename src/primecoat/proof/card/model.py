"""What a render of the card tells, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

Standing = Literal["settled", "likely", "ambiguous", "unknown"]

NO_VIEW = "none"
UNKNOWN = "unknown"
NOT_THERE = "not_there"
"""The reading of an input that left no light in the picture."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewChoice:
    """A way from light to the numbers in a file.

    Parameters
    ----------
    names
        Display and view, ``none`` for scene-referred numbers; several where two are the same.
    config
        OpenColorIO config; empty for ``none``.
    """

    names: tuple[tuple[str, str], ...]
    config: str = ""

    @property
    def baked(self) -> bool:
        """Whether a view is baked in."""
        return self.names[0][1] != NO_VIEW

    @property
    def words(self) -> str:
        """The first name, for people."""
        display, view = self.names[0]
        return f"{view} on {display}" if self.baked else "no view: scene-referred numbers"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer that explains what is seen.

    Parameters
    ----------
    reading
        Color Interop ID, ``data``, or a word of :mod:`primecoat.proof.card.candidates`.
    confidence
        Share of the posterior, 0 to 1.
    working
        Working spaces in which it holds.
    same
        Other readings that give the very same picture there.
    """

    reading: str
    confidence: float
    working: tuple[str, ...] = ()
    same: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class InputReading:
    """How the program read one input.

    Parameters
    ----------
    key, words, path
        The input.
    made_as
        The reading it was made for.
    answers
        Best first; empty if nothing that was tried explains what is seen.
    standing
        ``settled`` from 0.99 on, ``likely`` from 0.95, ``ambiguous`` below, ``unknown``.
    misfit
        Root mean square of the differences left by the best answer, in standard deviations.
    seen
        Values of its fields in the file, one triple a field.
    """

    key: str
    words: str
    path: str
    made_as: str
    answers: tuple[Answer, ...]
    standing: Standing
    misfit: float
    seen: tuple[tuple[float, float, float], ...]

    @property
    def reading(self) -> str:
        """The best answer, or ``unknown`` if it is not firm."""
        firm = self.standing in ("settled", "likely")
        return self.answers[0].reading if firm else UNKNOWN

    @property
    def confidence(self) -> float:
        """That of the best answer; 0 without one."""
        return self.answers[0].confidence if self.answers else 0.0

    @property
    def as_made(self) -> bool | None:
        """Whether it was read as it was made; None where that is not firm."""
        if self.standing not in ("settled", "likely"):
            return None
        best = self.answers[0]
        return self.made_as in (best.reading, *best.same)

    @property
    def seen_at_all(self) -> bool:
        """Whether it is in the picture: some programs hide what others show."""
        return self.reading != NOT_THERE


@dataclass(frozen=True, slots=True, kw_only=True)
class CardReading:
    """What one render of the card tells.

    Parameters
    ----------
    path, width, height
        The render.
    corners
        The outer corners of the frame in pixels: upper left, upper right, lower right, lower left
        of the card as it was written.
    mirrored
        Whether the picture is mirrored.
    view
        How light became numbers; None if nothing tried explains the grey wedge.
    view_standing
        How firm that is.
    views
        All views that are left with their shares of the posterior, best first.
    working
        Working spaces that explain what is seen, best first.
    working_standing
        How firm the first is.
    stops
        Exposure, log2: 0 where a white patch that faces the main light shows its strength; None
        without a view.
    misfit
        Root mean square of what the wedge leaves over, in standard deviations.
    inputs
        How each input was read.
    config
        OpenColorIO config.
    """

    path: Path
    width: int
    height: int
    corners: tuple[tuple[float, float], ...]
    mirrored: bool
    view: ViewChoice | None
    view_standing: Standing
    views: tuple[tuple[ViewChoice, float], ...]
    working: tuple[Answer, ...]
    working_standing: Standing
    stops: float | None
    misfit: float
    inputs: tuple[InputReading, ...]
    config: str

    @property
    def view_confidence(self) -> float:
        """Share of the best view; 0 without one."""
        return self.views[0][1] if self.views else 0.0

    @property
    def ready(self) -> bool:
        """Whether every input that is in the picture was surely read as it was made."""
        return all(one.as_made for one in self.inputs if one.seen_at_all)


def standing_of(confidence: float) -> Standing:
    """Return how firm a share of the posterior is.

    Examples
    --------
    >>> standing_of(0.995), standing_of(0.5)
    ('settled', 'ambiguous')
    """
    if confidence >= 0.99:
        return "settled"
    return "likely" if confidence >= 0.95 else "ambiguous"
