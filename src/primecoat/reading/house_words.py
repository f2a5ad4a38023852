"""Witness *house*: what a house's own conventions say about the name of a picture.

Token and pattern are one statement about one name: where they agree, one of them counts. Its
strength lies below that of a strong statement, so that it neither settles anything alone nor
disputes a slot, a declaration, a header or an ID in the name.
"""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatchcase

from primecoat.colour.ids import DATA
from primecoat.house import House
from primecoat.inventory import ImageRecord
from primecoat.location import Location
from primecoat.reading.evidence import COLOUR, Evidence
from primecoat.reading.names import DELIMITERS, split_name
from primecoat.reading.policy import Policy
from primecoat.scenes.model import COLOUR_SLOTS


@dataclass(frozen=True, slots=True)
class HouseWords:
    """The conventions of a house, ready to speak about pictures."""

    house: House

    def testify(self, record: ImageRecord, policy: Policy) -> tuple[Evidence, ...]:
        """Return what token and pattern say about the name of a picture."""
        if not record.name or not (self.house.tokens or self.house.slots):
            return ()
        stem = split_name(record.name).stem
        token, reading = self.token_of(stem)
        name = stem[: len(stem) - len(token)].rstrip(DELIMITERS) if token else stem
        pattern, slot = self.slot_of(name)
        strength = policy.weight("house", "convention")
        where = Location(self.house.file.name if self.house.file else "", record.name)
        told = []
        if reading:
            told.append(
                Evidence(
                    witness="house",
                    claim=reading,
                    strength=strength,
                    words=f"By the house's conventions, '{token}' at the end of a name says so.",
                    location=where,
                )
            )
        if slot:
            claim = COLOUR if slot in COLOUR_SLOTS else DATA
            told.append(
                Evidence(
                    witness="house",
                    claim=claim,
                    strength=strength,
                    words=f"By the house's conventions, a name like '{pattern}' is that of a "
                    f"picture for {slot}.",
                    location=where,
                    content=slot,
                )
            )
        return tuple(told)

    def token_of(self, stem: str) -> tuple[str, str]:
        """Return the longest of the house's tokens that ends a stem, and its reading; or nothing.

        Examples
        --------
        >>> words = HouseWords(House(tokens=(("texcol", "srgb_rec709_scene"),)))
        >>> words.token_of("bowl_TexCol"), words.token_of("bowltexcol")
        (('TexCol', 'srgb_rec709_scene'), ('', ''))
        """
        fitting = [
            (stem[len(stem) - len(token) :], reading)
            for token, reading in self.house.tokens
            if stem.lower().endswith(token)
            and stem[: len(stem) - len(token)][-1:] in tuple(DELIMITERS)
        ]
        return max(fitting, key=lambda pair: len(pair[0]), default=("", ""))

    def slot_of(self, name: str) -> tuple[str, str]:
        """Return the first pattern that fits a name without its token, and its slot; or nothing.

        Examples
        --------
        >>> HouseWords(House(slots=(("*_nrm", "normal"),))).slot_of("Bowl_NRM")
        ('*_nrm', 'normal')
        """
        lower = name.lower()
        return next(((p, slot) for p, slot in self.house.slots if fnmatchcase(lower, p)), ("", ""))
