"""The pictures of a survey as a list to look through: rows, what they can be picked by, order."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import Literal, get_args

from primecoat.checks.survey import Survey
from primecoat.colour.ids import UNKNOWN
from primecoat.errors import UseError
from primecoat.reading.decisions import Decision, Spoken, read_decisions
from primecoat.reading.judgement import ImageReading, Standing

MadeOf = tuple[ImageReading, tuple[str, ...], Decision | None]

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
    'ab992b1b5a08b1db'
    """
    return hashlib.blake2b(path.encode("utf-8", "surrogatepass"), digest_size=8).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageList:
    """All pictures of a survey as rows, with what makes picking among many fast.

    Parameters
    ----------
    rows
        By path.
    texts
        For each row, all that words are looked for in, without case.
    values
        For each of :data:`FACETS`, the values of each row.
    orders
        For each of :data:`ORDERS`, the numbers of the rows in that order.
    made_of
        For each row, what it was made of: the image as it was read, codes of findings, decision.
    """

    rows: tuple[ListedImage, ...]
    texts: tuple[str, ...]
    values: Mapping[str, tuple[tuple[str, ...], ...]]
    orders: Mapping[str, tuple[int, ...]]
    made_of: tuple[MadeOf, ...] = field(default=(), repr=False)


def list_images(survey: Survey, *, before: ImageList | None = None) -> ImageList:
    """Return all pictures of a survey as rows.

    Parameters
    ----------
    before
        The list as it was: rows whose pictures are the same are taken from it.
    """
    codes: dict[str, list[str]] = defaultdict(list)
    for finding in survey.findings:
        codes[finding.where].append(finding.code)
    spoken = Spoken(read_decisions(survey.readings.inventory.home))
    images = sorted(survey.readings.images, key=lambda image: image.record.path)
    made_of = tuple(
        (image, tuple(codes.get(image.record.path, ())), spoken.on(image.record.path))
        for image in images
    )
    known: dict[int, tuple[MadeOf, ListedImage, str]] = {}
    if before is not None:
        olds = zip(before.made_of, before.rows, before.texts, strict=True)
        known = {id(old[0]): (old, row, text) for old, row, text in olds}
    rows, texts = [], []
    for one in made_of:
        was = known.get(id(one[0]))
        if was is None or was[0][1:] != one[1:]:
            row = _row(*one)
            was = one, row, _text(row)
        rows.append(was[1])
        texts.append(was[2])
    numbers = range(len(rows))
    return ImageList(
        rows=tuple(rows),
        texts=tuple(texts),
        made_of=made_of,
        values={
            "standing": tuple((row.standing,) for row in rows),
            "slot": tuple(row.slots for row in rows),
            "owner": tuple(row.owners for row in rows),
            "finding": tuple(row.findings for row in rows),
        },
        orders={
            "path": tuple(numbers),
            "standing": tuple(sorted(numbers, key=lambda n: ASKING.index(rows[n].standing))),
            "confidence": tuple(sorted(numbers, key=lambda n: rows[n].confidence)),
        },
    )


def pick_images(images: ImageList, pick: Pick) -> Listed:
    """Return the rows that are wanted, in the order that is wanted.

    Raises
    ------
    UseError
        If there is no such order.
    """
    if pick.order not in ORDERS:
        raise UseError(f"There is no order {pick.order!r}.", f"Use one of: {', '.join(ORDERS)}.")
    spoken: Sequence[int] = images.orders[pick.order]
    for word in pick.words.casefold().split():
        spoken = [number for number in spoken if word in images.texts[number]]
    asked = {
        "standing": pick.standing,
        "slot": pick.slot,
        "owner": pick.owner,
        "finding": pick.finding,
    }
    wanted = {facet: value for facet, value in asked.items() if value}
    facets = {}
    for facet in FACETS:
        others = {name: value for name, value in wanted.items() if name != facet}
        left = _with_all(images, spoken, others)
        counts = Counter(chain.from_iterable(map(images.values[facet].__getitem__, left)))
        facets[facet] = dict(sorted(counts.items()))
    found = _with_all(images, spoken, wanted)
    return Listed(rows=tuple(map(images.rows.__getitem__, found)), facets=facets)


def _with_all(
    images: ImageList, numbers: Sequence[int], wanted: Mapping[str, str]
) -> Sequence[int]:
    for facet, value in wanted.items():
        values = images.values[facet]
        numbers = [number for number in numbers if value in values[number]]
    return numbers


def _text(row: ListedImage) -> str:
    return "\n".join((row.path, row.reading, row.content, *row.slots, *row.owners)).casefold()


def _row(image: ImageReading, codes: Sequence[str], decision: Decision | None) -> ListedImage:
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
        decided=decision if told else None,
        files=max(1, len(record.files)),
    )


def _each(values: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(values))
