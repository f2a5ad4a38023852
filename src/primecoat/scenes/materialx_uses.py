"""The uses of images and the colours of a MaterialX document, with their spaces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from primecoat.colour.ids import DATA
from primecoat.location import Location
from primecoat.scenes.exceptions import exception_of
from primecoat.scenes.materialx_file import MaterialXDocument
from primecoat.scenes.materialx_graph import Reached, is_light, reached
from primecoat.scenes.materialx_spaces import (
    COLOURSPACE,
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
    at
        Where a declaration stands, or would stand; None in an included file, which is not edited.
    words
        Where the space comes from.
    """

    declared: str | None
    inherited: bool
    at: Location | None
    words: str


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

    holder: Any
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

    holder: Any
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
        for found in reached(document.root):
            self._by_holder.setdefault(found.holder.getNamePath(), []).append(found)
        self._elements = [e for e in document.root.traverseTree() if document.stands(e)]

    def images(self) -> Iterator[FoundImage]:
        """Yield every use of an image, in the order of the document."""
        for element in self._elements:
            if element.getAttribute("type") != "filename" or not element.getAttribute("value"):
                continue
            parent = element.getParent()
            if parent.getCategory() in (*DEFINITIONS, *_NO_IMAGE):
                continue
            met = self._by_holder.get(element.getNamePath()) or self._loose(element, parent)
            uses = [
                self._image(found) for found in met if found.node.getCategory() not in _NO_IMAGE
            ]
            yield from {(u.owner, u.slot, u.channels, u.location): u for u in uses}.values()

    def colours(self) -> Iterator[FoundColour]:
        """Yield every colour-typed value, those that are no colours too."""
        for element in self._elements:
            if is_value(element):
                met = self._by_holder.get(element.getNamePath(), [])
                yield self._colour(element, met)

    def _image(self, found: Reached) -> FoundImage:
        kind = found.node.getAttribute("type")
        colour = is_colour_image(kind, found.output) and found.channels != "a"
        spoken = self._spoken(found.holder, found.spaced)
        space = effective_space(self._document, found.spaced)
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

    def _colour(self, element: Any, met: list[Reached]) -> FoundColour:
        parent = element.getParent()
        slots = [found.slot for found in met]
        slot = next((s for s in slots if s in COLOUR_SLOTS), slots[0] if slots else "")
        slot = slot or slot_of(
            parent.getCategory(),
            element.getName(),
            element.getAttribute("type").removesuffix("array"),
        )
        rules = [exception_of(f.node.getCategory(), f.item.getName(), f.slot) for f in met] or [
            exception_of(parent.getCategory(), element.getName(), slot)
        ]
        return FoundColour(
            holder=element,
            location=self._location(element),
            owner=met[0].owner if met else self._top(element),
            slot=slot,
            light=slot == "light_color" or is_light(parent),
            spoken=self._spoken(element, met[0].spaced if met else element),
            exception=rules[0] if all(rules) else "",
        )

    def _loose(self, element: Any, parent: Any) -> list[Reached]:
        """Return how a file name that reaches no shader counts: by its node's type."""
        kind = parent.getAttribute("type")
        if parent.getCategory() == "nodegraph":
            return []  # nothing inside takes it
        data = kind in ("float", "integer", "boolean", "string") or kind.startswith("vector")
        slot = "other_data" if data else "other_color"
        channels = {"float": "r", "vector2": "rg"}.get(kind, "rgb")
        owner = self._top(element)
        return [Reached(parent, element, "", element, element, owner, slot, channels)]

    def _spoken(self, holder: Any, spaced: Any) -> Spoken:
        """Return what is said for a value: where the library looks, else where the value stands."""
        chosen = spaced
        if not spaced.hasAttribute(COLOURSPACE) and holder.hasAttribute(COLOURSPACE):
            chosen = holder
        space = effective_space(self._document, chosen)
        return Spoken(
            declared=space.name or None,
            inherited=not space.own,
            at=self._editable(chosen),
            words=space.words,
        )

    def _root_space(self) -> str:
        return str(self._document.root.getAttribute(COLOURSPACE))

    def _kind(self, found: Reached) -> str:
        if found.channels == "a":
            return "alpha"
        kind = found.node.getAttribute("type")
        return "a single channel" if kind == "multioutput" else f"type {kind}"

    def _location(self, element: Any) -> Location:
        return Location(self._document.file_of(element).name, self._document.path_of(element))

    def _editable(self, element: Any) -> Location | None:
        if self._document.file_of(element) is not self._document.files[""]:
            return None
        if not self._document.stands(element):
            return None
        place = self._location(element)
        return Location(place.file, f"{place.place}@{COLOURSPACE}")

    def _top(self, element: Any) -> str:
        return str(element.getNamePath()).partition("/")[0]
