"""Witness *siblings*: the other maps of the same material, in the same folder."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from primecoat.inventory import ImageRecord
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, Evidence
from primecoat.reading.names import split_name
from primecoat.reading.policy import Policy


class SiblingSets:
    """Images of one folder by the beginning of their names.

    Parameters
    ----------
    records
        All images of the inventory.
    """

    def __init__(self, records: Sequence[ImageRecord]) -> None:
        self._names: dict[str, set[str]] = defaultdict(set)
        for record in records:
            if record.name:
                self._names[_folder(record)].add(split_name(record.name).stem.lower())

    def testify(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """Return what the set says of its one member whose name is the bare stem.

        ``bowl.png`` beside ``bowl_normal.png`` and ``bowl_roughness.png`` is the colour of that
        set, by habit; the habit is weak evidence.
        """
        if not record.name:
            return ()
        stem = split_name(record.name).stem.lower()
        others = sorted(
            name
            for name in self._names[_folder(record)]
            if name != stem and name.startswith(stem) and name[len(stem)] in "._- "
        )
        if len(others) < 2:
            return ()
        return (
            Evidence(
                witness="siblings",
                claim=COLOUR,
                strength=policy.weight("siblings", "same_set"),
                words=f"It is the plain member of a set with {', '.join(others[:3])}.",
                location=Location(record.path, "name"),
                content="base_color",
            ),
        )


def _folder(record: ImageRecord) -> str:
    return record.path.rpartition("/")[0]
