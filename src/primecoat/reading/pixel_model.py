"""Colour or data by the pixels alone: an additive model, fitted on labelled pictures.

Every fact adds a log likelihood ratio, read off a line through a few points; all lines of a layout
were fitted together, so that facts which go hand in hand are not counted twice. The lines stand in
``pixel_model.toml``; ``python -m evaluation.fit`` writes it.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from primecoat.images.header import ImageHeader
from primecoat.images.image_statistics import ImageStatistics
from primecoat.reading.pixel_facts import (
    CONSTANT,
    LAYOUTS,
    WORDS,
    Layout,
    facts_of,
    layout_of,
    shown_channels,
)

_TOLD = 2
"""So many facts are named in words."""

_WORTH_TELLING = 0.3

_ENOUGH = 4096
"""Pixels (64 x 64) from which a picture tells all it can; fewer tell less in proportion."""


@dataclass(frozen=True, slots=True)
class Line:
    """One fact's part: the log likelihood ratio for colour at each of some values.

    Parameters
    ----------
    knots
        Values of the fact, rising; beyond the ends the line is level.
    parts
        Log likelihood ratios, around 0 over the labelled pictures.
    """

    knots: tuple[float, ...]
    parts: tuple[float, ...]

    def at(self, value: float) -> float:
        """Return the part at a value.

        Examples
        --------
        >>> Line((0.0, 1.0), (-2.0, 2.0)).at(0.75)
        1.0
        """
        return float(np.interp(value, self.knots, self.parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class PixelModel:
    """The model of one layout.

    Parameters
    ----------
    base
        Log likelihood ratio for colour that is left where no fact speaks.
    frequency
        Log odds of colour among the labelled pictures of this layout: a prior.
    limit
        Greatest log likelihood ratio that the labelled pictures bear out, either way.
    pictures
        Number of labelled pictures it was fitted on.
    """

    base: float
    frequency: float
    limit: float
    pictures: int
    lines: dict[str, Line]


@dataclass(frozen=True, slots=True, kw_only=True)
class PixelJudgement:
    """What the pixels say about colour or data.

    Parameters
    ----------
    strength
        Log likelihood ratio, above 0 for colour.
    frequency
        Log odds of colour among pictures of this layout: a prior.
    words
        What speaks for it, as a clause.
    """

    layout: Layout
    strength: float
    frequency: float
    words: str


def judge_pixels(header: ImageHeader, statistics: ImageStatistics) -> PixelJudgement | None:
    """Judge a picture by its measured facts; None for one without channels."""
    if not statistics.channels or not statistics.sampled:
        return None
    layout = layout_of(statistics)
    model, facts = models()[layout], facts_of(header, statistics)
    parts = {name: line.at(facts[name]) for name, line in model.lines.items()}
    enough = min(1.0, statistics.pixels / _ENOUGH)
    flat = all(channel.deviation < CONSTANT for channel in shown_channels(statistics))
    strength = 0.0 if flat else enough * (model.base + sum(parts.values()))
    return PixelJudgement(
        layout=layout,
        strength=max(-model.limit, min(model.limit, strength)),
        frequency=enough * model.frequency,
        words=_words(layout, model, facts, parts, strength),
    )


def _words(
    layout: Layout,
    model: PixelModel,
    facts: dict[str, float],
    parts: dict[str, float],
    strength: float,
) -> str:
    sign = 1.0 if strength >= 0.0 else -1.0
    phrases: dict[str, None] = {}
    for name in sorted(parts, key=lambda name: -sign * parts[name]):
        if sign * parts[name] > _WORTH_TELLING and len(phrases) < _TOLD:
            knots = model.lines[name].knots
            low = facts[name] < (knots[0] + knots[-1]) / 2
            phrases[WORDS[name][low]] = None
    if not phrases:
        return f"a picture with {LAYOUTS[layout]}"
    return f"a picture with {LAYOUTS[layout]} that {' and '.join(phrases)}"


@cache
def models() -> dict[Layout, PixelModel]:
    """Return the models that ship with primecoat."""
    text = resources.files("primecoat.reading").joinpath("pixel_model.toml").read_text("utf-8")
    document = tomllib.loads(text)
    return {
        layout: PixelModel(
            base=document[layout]["base"],
            frequency=document[layout]["frequency"],
            limit=document[layout]["limit"],
            pictures=document[layout]["pictures"],
            lines={
                name: Line(tuple(line["knots"]), tuple(line["parts"]))
                for name, line in document[layout]["facts"].items()
            },
        )
        for layout in LAYOUTS
    }
