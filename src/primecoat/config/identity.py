"""What a name comes to in a config, as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

By = Literal["interop ID", "alias", "data flag", "transform", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What a name comes to in a config.

    Parameters
    ----------
    name
        As asked.
    local_name
        The config's own name for the space; None if it has none.
    reading
        Color Interop ID of the vocabulary or ``data``; None: specific to the config, or unknown.
    by
        What settled the reading; empty if nothing did.
    interop_id
        The ID that the config states, also one outside the vocabulary; else the reading.
    by_transform
        The reading that the transform alone gives; None if no one or if it cannot be run.
    distance
        How far the transform is from the reading, or without one from the nearest; see
        :mod:`primecoat.colour.transform_match`. None if it was not compared.
    contradicts
        Whether the transform plainly disagrees with the reading stated.
    words
        All this in a sentence without its end.
    """

    name: str
    local_name: str | None
    reading: str | None
    by: By
    interop_id: str | None = None
    by_transform: str | None = None
    distance: float | None = None
    contradicts: bool = False
    words: str
