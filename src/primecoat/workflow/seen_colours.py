"""Picked colours and lights as they were seen, and as they will be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.colour.ocio import DEFAULT_DISPLAY, DEFAULT_VIEW, through_view
from primecoat.colour.primaries import Triple
from primecoat.reading.colours import ColourReading

OLD_VIEW = "Un-tone-mapped"
"""View of the built-in configs that adds no tone curve: how most scenes were seen before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenColour:
    """One colour or light through two views.

    Parameters
    ----------
    before, after
        Display code values, 0 to 1: its numbers today through the old view, and converted through
        the new one; None where its space is not known.
    unconverted
        The same numbers taken for the new working space as they are, through the new view.
    """

    colour: ColourReading
    before: Triple | None
    after: Triple | None
    unconverted: Triple | None


def seen_colours(
    colours: Sequence[ColourReading],
    to_space: str,
    config: str,
    *,
    old: tuple[str, str] = (DEFAULT_DISPLAY, OLD_VIEW),
    new: tuple[str, str] = (DEFAULT_DISPLAY, DEFAULT_VIEW),
) -> tuple[SeenColour, ...]:
    """Return colours through an old and a new view.

    Parameters
    ----------
    colours
        Colours or lights of a survey.
    to_space, config
        As the survey has them.
    old, new
        Display and view of each.

    Raises
    ------
    UseError
        If the config has no such view.
    """
    return tuple(
        SeenColour(
            colour=colour,
            before=_through(colour.value.value, colour.reading, old, config),
            after=None
            if colour.working is None
            else _through(colour.working, to_space, new, config),
            unconverted=None
            if colour.working is None
            else _through(colour.value.value, to_space, new, config),
        )
        for colour in colours
    )


def _through(rgb: Triple, space: str, view: tuple[str, str], config: str) -> Triple | None:
    if space in (UNKNOWN, DATA):
        return None
    codes = through_view(rgb, space, *view, config)
    if not np.isfinite(codes).all():
        return None
    red, green, blue = np.clip(codes, 0.0, 1.0).tolist()
    return red, green, blue
