"""The uses of images and the colours of a MaterialX document, with their spaces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from primecoat.colour.ids import DATA
from primecoat.location import Location
from primecoat.scenes.exceptions import exception_of
from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_file import MaterialXDocument
from primecoat.scenes.materialx_graph import Reached, is_light, reached
from primecoat.scenes.materialx_spaces import (
    COLOURSPACE,
    EffectiveSpace,
    effective_space,
    is_colour_image,
    reads_today,
)
from primecoat.scenes.materialx_values import (
    DEFINITIONS,
    is_value,
)
from primecoat.scenes.model import COLOUR_SLOTS, DATA_SLOTS
from primecoat.scenes.shading import slot_of

_NO_IMAGE = ("measured_edf",)
"""Nodes whose file is no picture: a measured emission profile."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What a document says about the space of an image or a colour.

    Parameters
    ----------
    declared
        Name of the space; None if nothing says it.
    inherited
        Whether it is said by an element around it.
    of_root
        Whether it is the working space of the document, which its root says for everything.
    at
        Where a declaration stands, or would stand; None in an included file, which is not edited.
    words
        Where the space comes from.
    """

    declared: str | None
    inherited: bool
    at: Location | None
    words: str
    of_root: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundImage:
    """One image in one slot.

    Parameters
    ----------
    holder
        The element that holds the file name.
    fixed
        ``data`` where MaterialX never reads it as colour and the slot wants none.
    today, today_why
        How MaterialX reads it now, and why.
    """

    holder: Element
    location: Location
    owner: str
    slot: str
    channels: str
    spoken: Spoken
    fixed: str | None
    today: str
    today_why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundColour:
    """One colour-typed value.

    Parameters
    ----------
    holder
        The element that holds it.
    exception
        Why it is no colour; empty if it is one.
    """

    holder: Element
    location: Location
    owner: str
    slot: str
    light: bool
    spoken: Spoken
    exception: str


class Uses:
    """One walk over a document: where everything flows, and what is left over."""

    def __init__(self, document: MaterialXDocument) -> None:
        self._document = document
        self._by_holder: dict[str, list[Reached]] = {}
        met, self.flow = reached(document.root)
        for found in met:
            self._by_holder.setdefault(found.holder.path, []).append(found)
        every = [e for e in document.root.below() if "value" in e.attributes]
        self._elements = [e for e in every if document.stands(e)]

    def images(self) -> Iterator[FoundImage]:
        """Yield every use of an image, in the order of the document."""
        for element in self._elements:
            if element.get("type") != "filename" or not element.get("value"):
                continue
            parent = element.home
            if parent.category in (*DEFINITIONS, *_NO_IMAGE):
                continue
            met = self._by_holder.get(element.path) or self._loose(element, parent)
            uses = [self._image(found) for found in met if found.node.category not in _NO_IMAGE]
            yield from {(u.owner, u.slot, u.channels, u.location): u for u in uses}.values()

    def colours(self) -> Iterator[FoundColour]:
        """Yield every colour-typed value, those that are no colours too."""
        for element in self._elements:
            if is_value(element):
                met = self._by_holder.get(element.path, [])
                yield self._colour(element, met)

    def _image(self, found: Reached) -> FoundImage:
        kind = found.node.get("type")
        colour = is_colour_image(kind, found.output) and found.channels != "a"
        space = effective_space(self._document, found.spaced)
        spoken = self._spoken(found.holder, found.spaced, space)
        today, why = reads_today(space, self._root_space(), colour, self._kind(found))
        wants_data = found.slot in DATA_SLOTS
        if spoken.inherited and (wants_data or not colour):
            # the working space of a document says nothing about one picture that is no colour
            spoken = Spoken(declared=None, inherited=False, at=spoken.at, words=spoken.words)
        return FoundImage(
            holder=found.holder,
            location=self._location(found.item),
            owner=found.owner,
            slot=found.slot,
            channels=found.channels,
            spoken=spoken,
            fixed=DATA if wants_data and not colour else None,
            today=today,
            today_why=why,
        )

    def _colour(self, element: Element, met: list[Reached]) -> FoundColour:
        parent = element.home
        spaced = met[0].spaced if met else element
        slots = [found.slot for found in met]
        slot = next((s for s in slots if s in COLOUR_SLOTS), slots[0] if slots else "")
        slot = slot or slot_of(
            parent.category,
            element.name,
            element.get("type").removesuffix("array"),
        )
        rules = [exception_of(f.node.category, f.item.name, f.slot) for f in met] or [
            exception_of(parent.category, element.name, slot)
        ]
        return FoundColour(
            holder=element,
            location=self._location(element),
            owner=met[0].owner if met else self._top(element),
            slot=slot,
            light=slot == "light_color" or is_light(parent),
            spoken=self._spoken(element, spaced, effective_space(self._document, spaced)),
            exception=rules[0] if all(rules) else "",
        )

    def _loose(self, element: Element, parent: Element) -> list[Reached]:
        """Return how a file name that reaches no shader counts: by its node's type."""
        kind = parent.get("type")
        if parent.category == "nodegraph":
            return []  # nothing inside takes it
        data = kind in ("float", "integer", "boolean", "string") or kind.startswith("vector")
        slot = "other_data" if data else "other_color"
        channels = {"float": "r", "vector2": "rg"}.get(kind, "rgb")
        owner = self._top(element)
        return [Reached(parent, element, "", element, element, owner, slot, channels)]

    def _spoken(self, holder: Element, spaced: Element, space: EffectiveSpace) -> Spoken:
        """Return what is said for a value: where the library looks, else where the value stands."""
        chosen = spaced
        if not spaced.has(COLOURSPACE) and holder.has(COLOURSPACE):
            chosen = holder
            space = effective_space(self._document, chosen)
        return Spoken(
            declared=space.name or None,
            inherited=not space.own,
            at=self._editable(chosen),
            words=space.words,
            of_root=space.origin == "/",
        )

    def _root_space(self) -> str:
        return str(self._document.root.get(COLOURSPACE))

    def _kind(self, found: Reached) -> str:
        if found.channels == "a":
            return "alpha"
        kind = found.node.get("type")
        return "a single channel" if kind == "multioutput" else f"type {kind}"

    def _location(self, element: Element) -> Location:
        return Location(self._document.file_of(element).name, self._document.path_of(element))

    def _editable(self, element: Element) -> Location | None:
        if self._document.file_of(element) is not self._document.files[""]:
            return None
        if not self._document.stands(element):
            return None
        place = self._location(element)
        return Location(place.file, f"{place.place}@{COLOURSPACE}")

    def _top(self, element: Element) -> str:
        return str(element.path).partition("/")[0]
