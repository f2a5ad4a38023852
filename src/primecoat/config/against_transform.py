"""What the transform of a space adds to its identity, or says against it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import PyOpenColorIO as ocio

from primecoat.colour.ids import DATA
from primecoat.colour.ocio import match_space
from primecoat.colour.transform_match import TOLERANCE, Match
from primecoat.config.identity import Identity
from primecoat.errors import UseError

SLIGHT: Final = 1e-3
"""Distance up to which a transform is called the same without more words."""


def held_against_transform(
    config: ocio.Config, space: ocio.ColorSpace, stated: Identity
) -> Identity:
    """Return an identity with what the transform of its space adds to it or says against it."""
    if space.isData():
        against = stated.reading not in (None, DATA)
        words = f"{stated.words}; but it is marked as data, so nothing is converted"
        said = replace(stated, by_transform=DATA, contradicts=against)
        return replace(said, words=words) if against else said
    try:
        match = match_space(config, str(space.getName()))
    except UseError as error:
        return replace(stated, words=f"{stated.words}; {error.message}")
    if stated.reading is None:
        return _without_statement(stated, match)
    distance = match.distances.get(stated.reading)
    against = distance is None or distance > TOLERANCE
    judged = _against(stated.reading, match) if against else "its transform agrees"
    return replace(
        stated,
        by_transform=match.reading,
        distance=distance,
        contradicts=against,
        words=f"{stated.words}; {judged}",
    )


def _without_statement(stated: Identity, match: Match) -> Identity:
    found = replace(stated, by_transform=match.reading, distance=match.distance)
    if match.reading is None:
        return replace(found, words=f"{stated.words}; {_unlike(match)}")
    if stated.by == "interop ID":
        return replace(found, words=f"{stated.words}; its transform is like {match.reading}")
    words = f"{stated.words}; its transform is that of {match.reading}"
    if match.distance > SLIGHT:
        words += f", off by {100 * match.distance:.1f} % at most"
    return replace(
        found,
        reading=match.reading,
        by="transform",
        interop_id=stated.interop_id or match.reading,
        words=words,
    )


def _unlike(match: Match) -> str:
    """Return why a transform is that of no Color Interop ID."""
    if match.distance <= TOLERANCE:
        return f"its transform is like {match.nearest}, but its encoding has light above 1"
    words = "no space of the vocabulary has its transform"
    if match.cut_off:
        return f"{words}: from 0 to 1 it is like {match.inside}, but numbers outside are changed"
    if match.distance > 1.0:
        return f"{words}, and near none"
    return f"{words}; the nearest, {match.nearest}, is off by {100 * match.distance:.1f} %"


def _against(reading: str, match: Match) -> str:
    if reading == DATA:
        return "but it is not marked as data, so its numbers are converted"
    if match.reading is not None:
        return f"but its transform is that of {match.reading}"
    away = match.distances.get(reading)
    if away is None:
        return "but it refers to the other of scene and display"
    return f"but its transform is off by {100 * away:.1f} %"
