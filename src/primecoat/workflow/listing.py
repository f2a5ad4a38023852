"""The pictures of a survey as a list to look through: rows, what they can be picked by, order."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from primecoat.checks.survey import Survey
from primecoat.colour.ids import UNKNOWN
from primecoat.errors import UseError
from primecoat.reading.decisions import Decision, decision_on, read_decisions
from primecoat.reading.judgement import ImageReading, Standing

Order = Literal["path", "standing", "confidence"]
ORDERS: tuple[Order, ...] = get_args(Order)

ASKING: tuple[Standing, ...] = ("conflicting", "unknown", "likely", "overruled", "settled")
"""Standings, those that want a person first."""

FACETS = ("standing", "slot", "owner", "finding")
"""What rows can be picked by, beside words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedImage:
    """One picture, as a row.

    Parameters
    ----------
    id
        Short name that stays the same as long as the path does.
    reads_today
        Every reading that the scene gives it now; empty if nothing uses it.
    findings
        Codes of the findings on it, each once.
    decided
        The person's word on it; None if there is none.
    files
        Number of tiles, frames or single files.
    """

    id: str
    path: str
    reading: str
    standing: Standing
    confidence: float
    content: str
    slots: tuple[str, ...]
    owners: tuple[str, ...]
    findings: tuple[str, ...]
    reads_today: tuple[str, ...]
    decided: Decision | None
    files: int

    @property
    def differs(self) -> bool:
        """Whether it is read otherwise today than it must be."""
        return self.reading != UNKNOWN and any(one != self.reading for one in self.reads_today)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """Which rows are wanted; empty means all.

    Parameters
    ----------
    words
        All of them must stand in path, reading, content, slots or owners; case does not count.
    """

    words: str = ""
    standing: str = ""
    slot: str = ""
    owner: str = ""
    finding: str = ""
    order: str = "path"


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """The rows that were picked, in order, and how many each further pick would leave.

    Parameters
    ----------
    facets
        For each of :data:`FACETS`: each value, how many of the rows have it that the other picks
        leave.
    """

    rows: tuple[ListedImage, ...]
    facets: Mapping[str, Mapping[str, int]]


def image_id(path: str) -> str:
    """Return the short name of a picture's path.

    Examples
    --------
    >>> image_id("textures/cup.png")
    'e0f4cc2a6bb36ec1'
    """
    return hashlib.blake2b(path.encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()


def list_images(survey: Survey) -> tuple[ListedImage, ...]:
    """Return all pictures of a survey as rows, by path."""
    codes: dict[str, list[str]] = defaultdict(list)
    for finding in survey.findings:
        codes[finding.where].append(finding.code)
    decisions = read_decisions(survey.readings.inventory.home)
    rows = [
        _row(image, codes.get(image.record.path, ()), decisions) for image in survey.readings.images
    ]
    return tuple(sorted(rows, key=lambda row: row.path))


def pick_images(rows: Sequence[ListedImage], pick: Pick) -> Listed:
    """Return the rows that are wanted, in the order that is wanted.

    Raises
    ------
    UseError
        If there is no such order.
    """
    if pick.order not in ORDERS:
        raise UseError(f"There is no order {pick.order!r}.", f"Use one of: {', '.join(ORDERS)}.")
    wanted = {
        "standing": pick.standing,
        "slot": pick.slot,
        "owner": pick.owner,
        "finding": pick.finding,
    }
    words = pick.words.casefold().split()
    spoken = [row for row in rows if _says(row, words)] if words else list(rows)
    facets = {}
    for facet in FACETS:
        others = {name: value for name, value in wanted.items() if value and name != facet}
        left = (row for row in spoken if _has_all(row, others))
        counts = Counter(value for row in left for value in _values(row, facet))
        facets[facet] = dict(sorted(counts.items()))
    asked = {name: value for name, value in wanted.items() if value}
    found = [row for row in spoken if _has_all(row, asked)] if asked else spoken
    return Listed(rows=tuple(_ordered(found, pick.order)), facets=facets)


def _row(
    image: ImageReading, codes: Sequence[str], decisions: Mapping[str, Decision]
) -> ListedImage:
    record = image.record
    speaking = [u for u in image.uses if u.scene_use.use.channels != "a"] or image.uses
    told = any(item.witness == "person" for item in image.evidence)
    return ListedImage(
        id=image_id(record.path),
        path=record.path,
        reading=image.reading,
        standing=image.standing,
        confidence=round(image.judgement.confidence, 4),
        content=image.content,
        slots=_each(use.scene_use.use.slot for use in image.uses),
        owners=_each(use.scene_use.use.owner for use in image.uses),
        findings=_each(codes),
        reads_today=_each(use.today for use in speaking),
        decided=decision_on(decisions, record.path) if told else None,
        files=max(1, len(record.files)),
    )


def _each(values: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(values))


def _says(row: ListedImage, words: Sequence[str]) -> bool:
    text = "\n".join((row.path, row.reading, row.content, *row.slots, *row.owners)).casefold()
    return all(word in text for word in words)


def _values(row: ListedImage, facet: str) -> tuple[str, ...]:
    if facet == "standing":
        return (row.standing,)
    if facet == "slot":
        return row.slots
    return row.owners if facet == "owner" else row.findings


def _has_all(row: ListedImage, wanted: Mapping[str, str]) -> bool:
    return all(value in _values(row, facet) for facet, value in wanted.items())


def _ordered(rows: list[ListedImage], order: str) -> list[ListedImage]:
    """Return rows, which come by path, in another order; equal ones stay by path."""
    if order == "standing":
        return sorted(rows, key=lambda row: ASKING.index(row.standing))
    if order == "confidence":
        return sorted(rows, key=lambda row: row.confidence)
    return rows
