"""Evidence: what one witness claims, how strongly, and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from primecoat.colour.ids import DATA, SCENE_SPACES, SPACES, UNKNOWN
from primecoat.location import Location, printable

Witness = Literal["slot", "declaration", "header", "house", "name", "pixels", "siblings", "person"]

WITNESSES: tuple[Witness, ...] = (
    "person",
    "declaration",
    "slot",
    "header",
    "house",
    "name",
    "pixels",
    "siblings",
)
"""All witnesses, in the order in which they are reported."""

COLOUR = "colour"
LINEAR = "linear"
ENCODED = "encoded"


def encoding_of(space: str) -> str:
    """Return curve and primaries of a colour space, without what it refers to.

    Examples
    --------
    >>> encoding_of("srgb_rec709_display")
    'srgb_rec709'
    """
    return space.rsplit("_", 1)[0]


SRGB_OR_G22: dict[str, tuple[str, ...]] = {
    f"srgb_or_g22_{primaries}": tuple(
        s for s in SPACES if encoding_of(s) in (f"srgb_{primaries}", f"g22_{primaries}")
    )
    for primaries in ("rec709", "ap1")
}
"""Claims that leave two curves open, as gAMA 45455 does."""

FAMILIES: dict[str, tuple[str, ...]] = {
    COLOUR: (*SPACES, UNKNOWN),
    LINEAR: (*(s for s in SPACES if SPACES[s].linear), UNKNOWN),
    ENCODED: (*(s for s in SPACES if not SPACES[s].linear), UNKNOWN),
    **SRGB_OR_G22,
    **{
        encoding_of(space): tuple(s for s in SPACES if encoding_of(s) == encoding_of(space))
        for space in SPACES
    },
}
"""Claims wider than one reading: any colour, scene-linear colour, encoded colour, and each curve
with its primaries where it is open whether scene or display is meant (``srgb_rec709``).
``unknown`` among them is a colour space that the vocabulary has no name for."""

RIVALS: tuple[str, ...] = SCENE_SPACES
"""The colour readings among which an image is judged; display spaces only if somebody says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One claim about how an image must be read.

    Parameters
    ----------
    witness
        Kind of source.
    claim
        A reading, or a family of :data:`FAMILIES`; ``unknown`` where the witness says that the
        space is one without a name here.
    strength
        Natural logarithm of the likelihood ratio that the evidence gives its claim.
    words
        The reason in words.
    location
        Where it was found.
    among_colours
        True if it only tells colour spaces apart, should the picture be colour: an sRGB chunk
        says nothing about whether a picture is a normal map.
    prior
        True for a known frequency ("most such pictures are"); alone it settles nothing.
    set_aside
        Why it does not count here, though it was found; empty if it counts.
    content
        Slot word for what the picture is, if the witness tells.
    """

    witness: Witness
    claim: str
    strength: float
    words: str
    location: Location
    among_colours: bool = False
    prior: bool = False
    set_aside: str = ""
    content: str = ""

    def as_document(self) -> dict[str, object]:
        """Return the evidence as it stands in the survey document."""
        return {
            "witness": self.witness,
            "claim": self.claim,
            "strength": 0.0 if self.set_aside else round(self.strength, 3),
            "words": printable(self.words),
            "location": printable(str(self.location)),
            "prior": self.prior,
            "set_aside": self.set_aside,
        }


def readings_of(claim: str) -> tuple[str, ...]:
    """Return the readings that a claim allows.

    Examples
    --------
    >>> readings_of("data"), "lin_ap1_scene" in readings_of("linear")
    (('data',), True)
    """
    return FAMILIES.get(claim, (claim,))


def agree(one: str, other: str) -> bool:
    """Whether two claims can both be true.

    Examples
    --------
    >>> agree("colour", "srgb_rec709_scene"), agree("colour", "data")
    (True, False)
    """
    return bool(set(readings_of(one)) & set(readings_of(other)))


def is_data(claim: str) -> bool:
    """Whether a claim says that the numbers are no colour."""
    return claim == DATA
