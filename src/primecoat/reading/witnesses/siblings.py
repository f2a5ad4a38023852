"""Witness *siblings*: the other maps of the same material, in the same folder.

A set is what has one stem, one size and one folder: ``bowl_color``, ``bowl_normal``,
``bowl_roughness``. The stem is all the name gives; what the members are is told by their pixels.
Only which of two inverse maps is the roughness and which the glossiness takes a word or a slot.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from typing import Literal

from primecoat.colour.ids import DATA
from primecoat.images.normal_map import judge_normal_map
from primecoat.images.two_channel_map import judge_two_channels
from primecoat.inventory import ImageRecord
from primecoat.location import Location
from primecoat.reading.content_words import CONTENT_WORDS
from primecoat.reading.evidence import COLOUR, Evidence
from primecoat.reading.glossiness import OPPOSITE, inverse_of
from primecoat.reading.names import split_name, words_of
from primecoat.reading.pixel_facts import layout_of
from primecoat.reading.pixel_model import judge_pixels
from primecoat.reading.policy import Policy

Look = Literal["coloured", "grey", "normal", ""]
"""What a picture is by its pixels, as far as a set needs it."""

Key = tuple[str, str, int, int]

_MAP_WORDS = ("base", "map", "tex", "texture")
_SURE = 2.2
"""Strength of the pixels from which a picture counts as coloured."""


class SiblingSets:
    """Images of one folder by the beginning of their names.

    Parameters
    ----------
    records
        All images of the inventory.
    by_pixels
        Whether the members' pixels may be looked at.
    by_name, by_slot
        Whether words of names, and slots, may tell which of two inverse maps is which.
    """

    def __init__(
        self,
        records: Sequence[ImageRecord],
        *,
        by_pixels: bool = True,
        by_name: bool = True,
        by_slot: bool = True,
    ) -> None:
        self._by_name, self._by_slot = by_name, by_slot
        names: dict[str, set[str]] = defaultdict(set)
        self._sets: dict[Key, list[ImageRecord]] = defaultdict(list)
        self._looks: dict[str, Look] = {}
        for record in records:
            if record.name:
                names[_folder(record)].add(split_name(record.name).stem.lower())
                key = _key(record)
                if key is not None and by_pixels:
                    self._sets[key].append(record)
        self._names = {folder: sorted(stems) for folder, stems in names.items()}

    def testify(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """Return what the set says of one member."""
        if not record.name:
            return ()
        return (
            *self._plain_member(record, policy),
            *self._among_maps(record, policy),
            *self._against_roughness(record, policy),
        )

    def _plain_member(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """``bowl.png`` beside ``bowl_normal.png`` and ``bowl_roughness.png``: the set's colour."""
        stem = split_name(record.name).stem.lower()
        others = _longer(self._names[_folder(record)], stem)
        if len(others) < 2:
            return ()
        return (
            Evidence(
                witness="siblings",
                claim=COLOUR,
                strength=policy.weight("siblings", "plain_member"),
                words=f"It is the plain member of a set with {', '.join(others[:3])}.",
                location=Location(record.path, "name"),
                content="base_color",
            ),
        )

    def _among_maps(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """Tell a grey map beside the coloured one of its set, or that one beside normals."""
        key = _key(record)
        members = self._sets.get(key, []) if key else []
        if len(members) < 2:
            return ()
        own = self._look(record)
        others = [member for member in members if member.path != record.path]
        coloured = [member.path for member in others if self._look(member) == "coloured"]
        normal = [member.path for member in others if self._look(member) == "normal"]
        where = Location(record.path, "pixels")
        if own == "grey" and coloured:
            return (
                Evidence(
                    witness="siblings",
                    claim=DATA,
                    strength=policy.weight("siblings", "grey_beside_colour"),
                    words=f"It is grey, and {coloured[0]} is the coloured picture of its set.",
                    location=where,
                ),
            )
        if own == "coloured" and normal and not coloured:
            return (
                Evidence(
                    witness="siblings",
                    claim=COLOUR,
                    strength=policy.weight("siblings", "colour_beside_normal"),
                    words=f"It is the only coloured picture of a set with the normal map "
                    f"{normal[0]}.",
                    location=where,
                ),
            )
        return ()

    def _against_roughness(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """Tell glossiness from roughness where the set holds a map and its inverse."""
        key = _key(record)
        members = self._sets.get(key, []) if key else []
        others = [member for member in members if member.path != record.path]
        found = inverse_of(record, others, by_name=self._by_name, by_slot=self._by_slot)
        if found is None:
            return ()
        against = f"It is the exact inverse of {found.sibling} in its set"
        words = (
            f"{against}: it is {found.is_a}, and the other one {OPPOSITE[found.is_a]}."
            if found.is_a
            else f"{against}, and both are called {found.called}: one of the two is "
            f"{OPPOSITE[found.called]}."
        )
        return (
            Evidence(
                witness="siblings",
                claim=DATA,
                strength=policy.weight("siblings", "inverse_of_roughness"),
                words=words,
                location=Location(record.path, "pixels"),
                content=found.is_a or "",
            ),
        )

    def _look(self, record: ImageRecord) -> Look:
        """Return what a picture is by its pixels; it is judged once, and only within a set."""
        if record.path not in self._looks:
            self._looks[record.path] = _look_of(record)
        return self._looks[record.path]


def _longer(names: Sequence[str], stem: str) -> list[str]:
    """Return the names that go on after a stem and a sign that parts words; all are sorted.

    Examples
    --------
    >>> _longer(["bowl", "bowl-top", "bowl_normal", "bowls"], "bowl")
    ['bowl-top', 'bowl_normal']
    """
    return [
        name
        for sign in sorted("._- ")
        for name in names[
            bisect_left(names, stem + sign) : bisect_left(names, stem + chr(ord(sign) + 1))
        ]
    ]


def _key(record: ImageRecord) -> Key | None:
    """Return what the members of a set have in common: folder, stem, tile or number, and size.

    The words that tell the map, else the last word if it is no number, are left out of the stem.
    """
    header = record.header
    words = list(words_of(record.name))
    if header is None or not words:
        return None
    told = [w for w in words if w not in CONTENT_WORDS and w not in _MAP_WORDS]
    if len(told) == len(words) and len(words) > 1 and words[-1].isalpha():
        told = words[:-1]
    stem = "_".join(told) + split_name(record.name).tail
    return _folder(record), stem, header.width, header.height


def _look_of(record: ImageRecord) -> Look:
    statistics, header = record.statistics, record.header
    if statistics is None or header is None:
        return ""
    normal, planar = judge_normal_map(statistics), judge_two_channels(statistics)
    if (normal and normal.is_normal) or (planar and planar.is_normal):
        return "normal"
    if layout_of(statistics) != "colour":
        return "grey"
    judged = judge_pixels(header, statistics)
    return "coloured" if judged is not None and judged.strength >= _SURE else ""


def _folder(record: ImageRecord) -> str:
    return record.path.rpartition("/")[0]
