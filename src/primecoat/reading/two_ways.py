"""Whether the same channels of one picture are wanted two ways by its uses.

What a use wants of a picture is no matter of a person's word: decided for one reading, the picture
still serves as colour in one place and as numbers in another.
"""

from __future__ import annotations

from collections.abc import Sequence

from primecoat.colour.ids import UNKNOWN
from primecoat.reading.evidence import WITNESSES, is_data
from primecoat.reading.judge import judged_without
from primecoat.reading.judgement import ImageReading, UseReading

FILE_EACH = "Give each use a file of its own in the scene; a copy under another name will do."
"""What helps; no name, declaration or decision does."""


def wanted_two_ways(image: ImageReading) -> tuple[str, ...]:
    """Return what the uses of an image want of the same channels, in words; empty if one thing.

    Where a person decided, two uses still differ if one wants colour and the other numbers, or if
    their standards fix what they are. Which colour space a picture is in, a word settles.
    """
    by_person = any(item.witness == "person" for item in image.evidence)
    if not by_person:
        return _listed(image.uses) if image.standing == "conflicting" else ()
    if len(image.uses) < 2:
        return ()
    silent = frozenset(WITNESSES) - {item.witness for item in image.evidence} | {"person"}
    uses = judged_without(image, silent).uses
    firm = [
        use
        for use in uses
        if use.judgement.reading != UNKNOWN and use.scene_use.use.channels != "a"
    ]
    clash = any(
        set(one.scene_use.use.channels) & set(other.scene_use.use.channels)
        and _cannot_both_be(one, other)
        for at, one in enumerate(firm)
        for other in firm[at + 1 :]
    )
    return _listed(firm) if clash else ()


def two_ways_words(wanted: Sequence[str]) -> str:
    """Return in a sentence what :func:`wanted_two_ways` found.

    Examples
    --------
    >>> two_ways_words(("data in mask of jar", "lin_ap1_scene in emissive of jar"))
    'The same channels are wanted two ways: data in mask of jar, lin_ap1_scene in emissive of jar.'
    """
    return f"The same channels are wanted two ways: {', '.join(wanted)}."


def _cannot_both_be(one: UseReading, other: UseReading) -> bool:
    first, second = one.judgement.reading, other.judgement.reading
    fixed = None not in (one.scene_use.use.fixed, other.scene_use.use.fixed)
    return is_data(first) != is_data(second) or (fixed and first != second)


def _listed(uses: Sequence[UseReading]) -> tuple[str, ...]:
    wanted = {
        (u.judgement.reading, f"{u.scene_use.use.slot} of {u.scene_use.use.owner}")
        for u in uses
        if u.judgement.reading != UNKNOWN and u.scene_use.use.channels != "a"
    }
    if len({reading for reading, _ in wanted}) < 2:
        return ()
    return tuple(f"{reading} in {slot}" for reading, slot in sorted(wanted))
