"""From an inventory to readings: hear every witness on every use, then judge."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from operator import attrgetter

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.house import NO_HOUSE, House
from primecoat.inventory import ImageRecord, Inventory, SceneUse
from primecoat.location import Location
from primecoat.reading.decisions import Decision, Spoken
from primecoat.reading.evidence import WITNESSES, Evidence, is_data
from primecoat.reading.house_words import HouseWords
from primecoat.reading.judgement import ImageReading, Judgement, Standing, UseReading
from primecoat.reading.parts import read_parts
from primecoat.reading.policy import Policy, policy
from primecoat.reading.set_aside import set_aside
from primecoat.reading.today import read_today
from primecoat.reading.weigh import weigh
from primecoat.reading.witnesses import declaration, header, name, pixels, slot
from primecoat.reading.witnesses.siblings import SiblingSets
from primecoat.scenes.model import ImageUse

OF_AN_IMAGE = (name, pixels)
"""The witnesses that say the same whatever the use, and are heard once an image."""

OF_A_USE = (declaration, slot, header)
"""The witnesses that are heard on each use."""

_told = attrgetter(
    *(
        field.name
        for field in fields(ImageUse)
        if field.name not in ("reference", "owner", "location", "declared_at")
    )
)
"""What a use says, but for its owner and its places."""

_FIRMNESS: tuple[Standing, ...] = ("overruled", "settled", "likely", "unknown", "conflicting")


def read_images(
    inventory: Inventory,
    decisions: Mapping[str, Decision],
    *,
    without: frozenset[str] = frozenset(),
    before: Sequence[ImageReading] = (),
    house: House = NO_HOUSE,
) -> tuple[ImageReading, ...]:
    """Say how every image must be read.

    Parameters
    ----------
    inventory
        The stock.
    decisions
        What persons decided, by image path.
    without
        Witnesses to leave unheard.
    before
        What the same inventory was read as by the same witnesses, with other decisions: an image
        of which persons say the same is read as it was, and nothing is heard again that does not
        depend on them.
    house
        Conventions of the house.
    """
    rules = policy()
    known = {image.record.path: image for image in before}
    siblings: SiblingSets | None = None
    spoken = Spoken(decisions)
    house_words = HouseWords(house)
    read = []
    for record in inventory.images:
        decision = spoken.on(record.path)
        person = _person(record, decision)
        was = known.get(record.path)
        if was is not None and [e for e in was.evidence if e.witness == "person"] == person:
            read.append(was)
            continue
        if was is not None:
            heard = was.heard
        else:
            siblings = siblings or _sets(inventory, without)
            heard = _heard(record, siblings, house_words, rules)
        read.append(_read_image(record, person, heard, rules, without))
    return tuple(read)


def judged_without(image: ImageReading, without: frozenset[str]) -> ImageReading:
    """Return an image judged again from what was heard of it, with some witnesses left out."""
    heard = tuple(e for e in image.heard if e.witness not in without)
    return _read_image(image.record, (), heard, policy(), without)


def _sets(inventory: Inventory, without: frozenset[str]) -> SiblingSets:
    return SiblingSets(
        inventory.images,
        by_pixels="pixels" not in without,
        by_name="name" not in without,
        by_slot="slot" not in without,
    )


def _heard(
    record: ImageRecord, siblings: SiblingSets, house: HouseWords, rules: Policy
) -> tuple[Evidence, ...]:
    """Return what is said of an image whatever its uses are and persons say."""
    heard = [*house.testify(record, rules), *siblings.testify(record, rules)]
    for module in OF_AN_IMAGE:
        heard += module.testify(record, None, rules)
    return tuple(heard)


def _read_image(
    record: ImageRecord,
    person: Sequence[Evidence],
    heard_of_it: tuple[Evidence, ...],
    rules: Policy,
    without: frozenset[str],
) -> ImageReading:
    common = [*person, *heard_of_it]

    def hear(use: SceneUse | None) -> tuple[Evidence, ...]:
        heard = [*common]
        for module in OF_A_USE:
            heard += module.testify(record, use, rules)
        alpha_only = use is not None and use.use.channels == "a"
        told = [
            e
            for e in heard
            if e.witness not in without and (not alpha_only or e.witness in ("slot", "declaration"))
        ]
        return set_aside(told, use)

    heard_of: dict[object, tuple[tuple[Evidence, ...], Judgement, str, str]] = {}
    uses = []
    for use in record.uses:
        kind = _kind(use)
        if kind not in heard_of:
            told = hear(use)
            heard_of[kind] = (told, weigh(told, rules), *read_today(use, record))
        _, judged, today, why = heard_of[kind]
        uses.append(UseReading(scene_use=use, judgement=judged, today=today, today_why=why))
    unused = hear(None) if not uses else ()
    evidence = tuple(dict.fromkeys([*unused, *(e for told, *_ in heard_of.values() for e in told)]))
    ordered = tuple(sorted(evidence, key=lambda e: (WITNESSES.index(e.witness), -e.strength)))
    judgement = _of_image(uses) if uses else weigh(unused, rules)
    reading = ImageReading(
        record=record,
        uses=tuple(uses),
        judgement=judgement,
        content=_content(uses, ordered),
        evidence=ordered,
        heard=heard_of_it,
    )
    parts = read_parts(reading, rules, without)
    return replace(reading, parts=parts) if parts else reading


def _kind(use: SceneUse) -> object:
    """Return what all uses of one kind have in common: they differ in owner and place only.

    The first of a kind speaks for it; a stage can use one picture thousands of times.
    """
    return use.scene.name, _told(use.use)


def _person(record: ImageRecord, decision: Decision | None) -> list[Evidence]:
    if decision is None:
        return []
    because = f": {decision.because}" if decision.because else ""
    return [
        Evidence(
            witness="person",
            claim=decision.reading,
            strength=policy().weight("slot", "fixed"),
            words=f"{decision.by or 'Somebody'} decided this on {decision.when}{because}.",
            location=Location(".primecoat/decisions.json", record.path),
        )
    ]


def _of_image(uses: Sequence[UseReading]) -> Judgement:
    """Return the judgement on the whole image from those on its uses.

    Uses of the alpha channel speak only where nothing else is used.
    """
    speaking = [u for u in uses if u.scene_use.use.channels != "a"] or list(uses)
    weakest = max(
        speaking,
        key=lambda u: (_FIRMNESS.index(u.judgement.standing), -u.judgement.confidence),
    ).judgement
    if _clash(speaking):
        candidates = {
            u.judgement.reading: u.judgement.candidates[0]
            for u in speaking
            if u.judgement.candidates
        }
        return Judgement(
            reading=UNKNOWN,
            standing="conflicting",
            confidence=0.0,
            candidates=tuple(candidates.values()),
        )
    if weakest.reading == UNKNOWN:
        return weakest
    colour = [u for u in speaking if not is_data(u.judgement.reading)]
    reading = (colour or speaking)[0].judgement
    return replace(
        weakest, reading=reading.reading, candidates=reading.candidates, colour=reading.colour
    )


def _clash(uses: Sequence[UseReading]) -> bool:
    """Whether the same channels are wanted two ways."""
    wanted = {(use.judgement.reading, use.scene_use.use.channels) for use in uses}
    return any(
        one != other and UNKNOWN not in (one, other) and set(channels) & set(others)
        for one, channels in wanted
        for other, others in wanted
    )


def _content(uses: Sequence[UseReading], evidence: Sequence[Evidence]) -> str:
    """Return the slot word for what the picture is, from all evidence."""
    data_channels: dict[str, set[str]] = defaultdict(set)
    for use in uses:
        if use.judgement.reading == DATA and use.scene_use.use.channels != "a":
            data_channels[use.scene_use.use.channels].add(use.scene_use.use.slot)
    all_data = all(u.judgement.reading == DATA for u in uses if u.scene_use.use.channels != "a")
    if all_data and len(data_channels) > 1:
        return "packed"
    has_more = any(u.scene_use.use.channels != "a" for u in uses)
    alpha_slots = {u.scene_use.use.slot for u in uses if u.scene_use.use.channels == "a"}
    score: dict[str, float] = defaultdict(float)
    for item in evidence:
        if item.content and not (
            has_more and item.witness == "slot" and item.content in alpha_slots
        ):
            score[item.content] += item.strength
    return max(score, key=lambda word: score[word]) if score else UNKNOWN
