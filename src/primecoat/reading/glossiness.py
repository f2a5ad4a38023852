"""Glossiness against roughness: two maps of one set that are inverses of one another.

Glossiness is 1 - roughness (common practice, no source). Where one set holds a map and its exact
inverse, and name or slot tells what one of them is, the other one is its opposite, whatever slot
it stands in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from primecoat.images.fingerprint import Fingerprint, spatial_correlation
from primecoat.inventory import ImageRecord
from primecoat.reading.content_words import content_of
from primecoat.reading.names import words_of
from primecoat.reading.pixel_facts import layout_of

Role = Literal["roughness", "glossiness"]

OPPOSITE: dict[Role, Role] = {"roughness": "glossiness", "glossiness": "roughness"}

_AGAINST = -0.97
"""Correlation of the layouts up to which one map runs against the other."""

_APART = 0.015
"""Mean distance of the quantiles from those of the inverse: four 8-bit steps, as lossy files have.

Other maps may run against roughness too, as metalness does, but have values of their own."""

_LEAST_RANGE = 0.04
"""Least spread of the quantiles: a flat map tells nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inverse:
    """A sibling that a map is the exact inverse of.

    Parameters
    ----------
    sibling
        Path of the other map.
    is_a
        What the map itself is; None if it can be told of neither, as both are called the same.
    called
        What it is called, or else the opposite of what the sibling is called.
    """

    sibling: str
    is_a: Role | None
    called: Role


def inverse_of(
    record: ImageRecord, others: Sequence[ImageRecord], *, by_name: bool, by_slot: bool
) -> Inverse | None:
    """Return the sibling of which a map is the inverse, where one of them is roughness.

    Parameters
    ----------
    record, others
        A map, and the other members of its set, of the same size.
    by_name, by_slot
        Whether names and slots may be asked what a map is.
    """
    if not _is_grey(record) or _is_other(record, by_name=by_name, by_slot=by_slot):
        return None
    for other in others:
        if not _is_grey(other) or _is_other(other, by_name=by_name, by_slot=by_slot):
            continue
        if not _are_inverse(record, other):
            continue
        own = _named(record) if by_name else None
        theirs = _named(other) if by_name else None
        if own is None and theirs is None and by_slot:
            own, theirs = _used(record), _used(other)
        called = own or (OPPOSITE[theirs] if theirs else None)
        if called is not None:
            is_a = None if own == theirs else called
            return Inverse(sibling=other.path, is_a=is_a, called=called)
    return None


def are_inverse(one: Fingerprint, other: Fingerprint) -> bool:
    """Tell whether the first channels of two pictures are inverses: ``a = 1 - b`` everywhere."""
    if not one.quantiles or not other.quantiles:
        return False
    a, b = np.array(one.quantiles[0]), np.array(other.quantiles[0])
    if float(np.ptp(a)) < _LEAST_RANGE:
        return False
    laid_out = spatial_correlation(one, other)
    apart = float(np.mean(np.abs(a - (1.0 - b[::-1]))))
    return laid_out is not None and laid_out <= _AGAINST and apart <= _APART


def _are_inverse(one: ImageRecord, other: ImageRecord) -> bool:
    a, b = one.statistics, other.statistics
    if a is None or b is None or a.fingerprint is None or b.fingerprint is None:
        return False
    return are_inverse(a.fingerprint, b.fingerprint)


def _is_grey(record: ImageRecord) -> bool:
    return record.statistics is not None and layout_of(record.statistics) != "colour"


def _is_other(record: ImageRecord, *, by_name: bool, by_slot: bool) -> bool:
    """Whether name or slot says that it is something else: masks come with their inverses."""
    told = {content_of(words_of(record.name))} if by_name else set()
    if by_slot:
        told |= {use.use.slot for use in record.uses}
    return bool(told - {"", "roughness", "glossiness", "other_data", "unknown"})


def _named(record: ImageRecord) -> Role | None:
    return _role(content_of(words_of(record.name)))


def _used(record: ImageRecord) -> Role | None:
    """Return what its slots take, if they agree."""
    found = {role for use in record.uses if (role := _role(use.use.slot)) is not None}
    return found.pop() if len(found) == 1 else None


def _role(word: str) -> Role | None:
    return "roughness" if word == "roughness" else "glossiness" if word == "glossiness" else None
