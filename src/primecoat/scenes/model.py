"""What a scene file says: references to images, their uses, colours and lights."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from primecoat.colour.ids import UNKNOWN, reading_named
from primecoat.findings import Finding
from primecoat.location import Location

if TYPE_CHECKING:
    from primecoat.colour.operation_residual import Operation

COLOUR_SLOTS = (
    "base_color",
    "emissive",
    "specular_color",
    "sheen_color",
    "coat_color",
    "transmission_color",
    "subsurface_color",
    "other_color",
    "environment",
    "light_color",
    "backplate",
)
"""Slots that want colour."""

DATA_SLOTS = (
    "normal",
    "roughness",
    "glossiness",
    "metalness",
    "occlusion",
    "height",
    "opacity",
    "mask",
    "packed",
    "other_data",
)
"""Slots that want numbers which are no colour."""

SLOTS = COLOUR_SLOTS + DATA_SLOTS

LARGEST = 1e30
"""Largest number that a colour may hold: the colour maths runs in float32, which ends at 3.4e38."""


def _reading_of(named: str | None, declared: str | None) -> str | None:
    if named == UNKNOWN:
        return None
    return named or (reading_named(declared) if declared else None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageReference:
    """One place in a scene file that names an image, or holds one.

    Parameters
    ----------
    text
        The path as the scene means it (after percent-decoding and the like).
    location
        Where it stands; an edit of this place changes the reference.
    written
        The text as it stands at that place.
    embedded
        The image's bytes, if the scene file holds them itself.
    media_type
        Type that the scene declares for embedded bytes, such as ``image/png``.
    package
        For an image inside a package: its name, such as ``tea.usdz[textures/cup.png]``.
    """

    text: str
    location: Location
    written: str = ""
    embedded: bytes | None = None
    media_type: str = ""
    package: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageUse:
    """One image in one slot of one owner, for named channels.

    Parameters
    ----------
    reference
        Index into the scene's references.
    owner
        Name of the material or light.
    slot
        One of :data:`SLOTS`, or ``unknown`` where the scene does not tell.
    channels
        Letters of ``rgba`` that the slot takes.
    location
        Place of the slot in the scene file.
    declared
        Colour space that the scene declares for it, as written; None if it declares none.
    declared_at
        Place where a declaration stands or would stand; None if the format has none.
    fixed
        Reading that the scene's own standard fixes for this slot; None if it leaves it open.
    standard
        Name of that standard, for words.
    inherited
        Whether the declaration is that of the whole document, made for no picture in particular.
    named
        Reading that the declared name has in the scene's standard; None to look the name up in
        the vocabulary; ``unknown`` if the scene gives the name a meaning that has no ID.
    today, today_why
        How the scene's standard reads it now, and why; empty where ``fixed`` and ``declared`` say
        it.
    ignores_header
        Whether the standard never looks at what a picture's header says.
    partly
        Whether the declaration names the curve only and leaves the gamut open.
    automatic
        Whether the scene leaves the decode to OpenUSD's automatic choice, beside a declaration too.
    declared_how
        How it is declared, in words.
    refuses
        Readings that cannot be declared at this place although the standard has names for them.
    definition
        How the scene itself defines the declared name, in words; empty if it does not.
    contradiction
        How the scene declares it in two ways that do not go together; empty if it does not.
    """

    reference: int
    owner: str
    slot: str
    channels: str
    location: Location
    declared: str | None = None
    declared_at: Location | None = None
    fixed: str | None = None
    standard: str = ""
    inherited: bool = False
    named: str | None = None
    today: str = ""
    today_why: str = ""
    ignores_header: bool = False
    partly: bool = False
    automatic: bool = False
    declared_how: str = ""
    refuses: tuple[str, ...] = ()
    definition: str = ""
    contradiction: str = ""

    @property
    def declared_reading(self) -> str | None:
        """The reading that is declared; None if none is, or under a name that nobody knows."""
        return _reading_of(self.named, self.declared)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourValue:
    """One colour, or many of one kind, that somebody picked, in the scene's own numbers.

    Parameters
    ----------
    value
        Three numbers of the scene (alpha left out).
    count, maximum
        For many values at one place (vertex colours): how many, and their greatest numbers by
        channel; ``value`` then holds the least.
    kelvin
        Colour temperature that the scene gives: instead of numbers, ``value`` is then worked out,
        or beside them, and then the light is their product.
    exception
        Why it is no colour to convert although the scene types it as one; empty if it is.
    written
        The numbers as they stand in the scene, for formats whose numbers can be rewritten.
    fixed
        Reading that the standard fixes for it; None if it leaves it open.
    declared
        Space that the scene declares for it, as written.
    named
        As in :class:`ImageUse`.
    definition
        As in :class:`ImageUse`.
    samples
        For a light whose colour is multiplied by that of its temperature: both at each time, in
        order; the temperature is None where it is not applied. Empty if the scene does it in a
        way that cannot be followed.
    switch
        The edit after which the temperature is not applied any more.
    written_at
        Place of the numbers, for formats whose numbers can be rewritten. Where many stand, an
        edit of it names the space they are in and the one they get.
    default
        Space that applies where nothing is declared and nobody says otherwise.
    space_from
        Where the declaration or the default comes from, in words.
    """

    location: Location
    owner: str
    slot: str
    value: tuple[float, float, float]
    written: str = ""
    count: int = 1
    maximum: tuple[float, float, float] | None = None
    kelvin: float | None = None
    exception: str = ""
    fixed: str | None = None
    declared: str | None = None
    declared_at: Location | None = None
    named: str | None = None
    definition: str = ""
    samples: tuple[tuple[tuple[float, float, float], float | None], ...] = ()
    switch: Edit | None = None
    written_at: Location | None = None
    default: str | None = None
    space_from: str = ""

    @property
    def declared_reading(self) -> str | None:
        """The reading that is declared; None if none is, or under a name that nobody knows."""
        return _reading_of(self.named, self.declared)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourOperation:
    """Work on colours that may not come out the same in another working space.

    Parameters
    ----------
    location
        The node, or the value, that does it.
    owner, slot
        Material or light, and what the result is for.
    images
        References of the pictures that flow through it, as the scene means them.
    operation
        What is done, with its numbers.
    why
        Why converting each colour by itself does not keep it.
    default
        Working space it is done in where neither scene nor user says one.
    """

    location: Location
    owner: str
    slot: str
    images: tuple[str, ...]
    operation: Operation
    why: str
    default: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One scene file, read.

    Parameters
    ----------
    path
        The file.
    name
        Its path as shown to the user.
    format
        Name of the format's module.
    problems
        Findings met while reading: broken references inside the file.
    working
        Working space that the scene says it was made in, as written; empty if it says none.
    layers
        Further files that the scene is composed of, from its folder.
    operations
        Work on colours that may not come out the same in another working space.
    """

    path: Path
    name: str
    format: str
    references: tuple[ImageReference, ...] = ()
    uses: tuple[ImageUse, ...] = ()
    colours: tuple[ColourValue, ...] = ()
    lights: tuple[ColourValue, ...] = ()
    problems: tuple[Finding, ...] = ()
    working: str = ""
    layers: tuple[str, ...] = ()
    operations: tuple[ColourOperation, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One replacement inside a scene file.

    Parameters
    ----------
    place
        Place as in :class:`~primecoat.location.Location`.
    before, after
        Text found there and text to put there.
    """

    place: str
    before: str
    after: str

    def reverse(self) -> Edit:
        """Return the edit that takes this one back."""
        return Edit(place=self.place, before=self.after, after=self.before)
