"""The pictures that a stage names, and how each is used and declared."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.colour.operation_residual import Operation
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.model import COLOUR_SLOTS, ColourOperation, ImageReference, ImageUse
from primecoat.scenes.operations import SCALE_BIAS
from primecoat.scenes.usd import door
from primecoat.scenes.usd.declarations import Declaration, declaration_of
from primecoat.scenes.usd.network import Network
from primecoat.scenes.usd.operations import node_operation, scale_and_bias
from primecoat.scenes.usd.paths import (
    IMAGE_SUFFIXES,
    AssetText,
    asset_text,
    packaged_tiles,
    read_packaged,
)
from primecoat.scenes.usd.places import Places
from primecoat.scenes.usd.shaders import (
    category_of,
    file_inputs,
    is_texture,
)
from primecoat.scenes.usd.spaces import Spaces
from primecoat.scenes.usd.targets import standing_in
from primecoat.scenes.usd.terminal import terminal
from primecoat.scenes.usd.walk import Met

STANDARD = "OpenUSD"
LIGHT_FILE = "inputs:texture:file"

_ENVIRONMENTS = ("DomeLight", "DomeLight_1")


@dataclass(frozen=True, slots=True)
class _Named:
    """Pictures named at one place: numbers of their references, and what is declared."""

    place: str
    references: list[int]
    declaration: Declaration
    declared_at: Location


class Textures:
    """Gathers references and uses of one stage.

    Parameters
    ----------
    name
        The scene as shown to the user.
    folder
        Folder of the scene file.
    """

    def __init__(self, stage: Any, name: str, folder: Path, places: Places, spaces: Spaces) -> None:
        self.references: list[ImageReference] = []
        self.uses: dict[tuple[int, str, str, str], ImageUse] = {}
        self.problems: dict[Finding, None] = {}
        self.operations: dict[tuple[str, str, str], ColourOperation] = {}
        self.colour_textures: dict[Any, str] = {}
        self._stage = stage
        self._name = name
        self._folder = folder
        self._places = places
        self._spaces = spaces
        self._told: dict[tuple[str, Any], Declaration] = {}
        self._by_place: dict[str, tuple[int, ...]] = {}
        self._packaged: dict[str, bytes] = {}

    def gather(self, met: Met, network: Network) -> None:
        """Add what a walk met: textures of surfaces, of lights, and other pictures."""
        taken: set[Any] = set()
        files: dict[Any, list[_Named]] = {}
        surface, owner = None, ""
        for reached in network.reached():
            texture = reached.texture
            if reached.slot != "normal":
                self.colour_textures.setdefault(texture, reached.slot)
            pictures = files.get(texture)
            if pictures is None:
                pictures = files[texture] = self._files(*network.shader(texture), taken)
            if reached.surface is not surface:
                surface, owner = reached.surface, _owner(reached.surface)
            location = self._places.of(reached.target, connections=True)
            if reached.slot in COLOUR_SLOTS and len(reached.channels) >= 3:
                self._scaled(network.shader(texture)[0], owner, reached.slot, pictures)
            for named in pictures:
                self._use(named, owner, reached.slot, reached.channels, location)
        self._nodes(network, files)
        for path, (prim, identifier) in met.shaders.items():
            if is_texture(category_of(identifier)) and path not in files:
                for named in self._files(prim, identifier, taken):
                    self._use(named, _owner(prim), UNKNOWN, "rgb", named.place)
        self._lights(met, taken)
        for attribute in met.assets:
            if attribute.GetPath() not in taken:
                self._other(attribute)

    def _scaled(self, prim: Any, owner: str, slot: str, named: list[_Named]) -> None:
        """Add the scale and bias of a colour texture."""
        work = scale_and_bias(prim)
        if work is not None:
            self._work(prim, owner, slot, work, SCALE_BIAS, named)

    def _nodes(self, network: Network, files: Mapping[Any, list[_Named]]) -> None:
        """Add the nodes between textures and surfaces that may not be kept exact."""
        for prim, identifier, slot in network.between():
            found = node_operation(prim, identifier, slot) if slot in COLOUR_SLOTS else None
            if found is not None:
                above = network.textures_above(prim, slot)
                named = [n for path in above for n in files.get(path, ())]
                self._work(prim, _owner(prim), slot, *found, named)

    def _work(
        self, prim: Any, owner: str, slot: str, work: Operation, why: str, named: list[_Named]
    ) -> None:
        place = self._places.shown(prim.GetPath())
        pictures = [self.references[number] for n in named for number in n.references]
        self.operations[place, owner, slot] = ColourOperation(
            location=Location(self._name, place),
            owner=owner,
            slot=slot,
            images=tuple(dict.fromkeys(p.text or p.package for p in pictures)),
            operation=work,
            why=why,
            default="lin_rec709_scene",
        )

    def _files(self, prim: Any, identifier: str, taken: set[Any]) -> list[_Named]:
        """Return the pictures that a texture node names; ``taken`` learns where."""
        found = []
        for short in file_inputs(category_of(identifier)):
            given = prim.GetAttribute(f"inputs:{short}")
            if given:
                attribute = terminal(self._stage, given)
                taken.add(attribute.GetPath())
                found.append(self._named(prim, identifier, attribute))
        return found

    def _lights(self, met: Met, taken: set[Any]) -> None:
        for prim in met.lights.values():
            given = prim.GetAttribute(LIGHT_FILE)
            if not given or not given.HasAuthoredValue():
                continue
            attribute = terminal(self._stage, given)
            taken |= {attribute.GetPath(), given.GetPath()}
            slot = "environment" if prim.GetTypeName() in _ENVIRONMENTS else "light_color"
            named = self._named(prim, "", attribute)
            self._use(named, _title(prim), slot, "rgb", named.place)

    def _other(self, attribute: Any) -> None:
        """Add a picture in a place that nobody knows; what is no picture is left out."""
        if any(_is_picture(asset) for _, asset in _values(attribute)):
            named = self._named(attribute.GetPrim(), "", attribute)
            self._use(named, _title(attribute.GetPrim()), UNKNOWN, "rgb", named.place)

    def _use(self, named: _Named, owner: str, slot: str, channels: str, location: str) -> None:
        if "{" in named.place:
            location = standing_in(location, named.place)
        alpha = channels == "a"  # never colour, whatever is declared for the picture
        told = Declaration() if alpha else named.declaration
        for reference in named.references:
            key = (reference, location, slot, channels)
            if key not in self.uses:
                self.uses[key] = ImageUse(
                    reference=reference,
                    owner=owner,
                    slot=slot,
                    channels=channels,
                    location=Location(self._name, location),
                    declared=told.declared,
                    declared_at=None if alpha else named.declared_at,
                    fixed=DATA if alpha else None,
                    named=told.named,
                    partly=told.partly,
                    automatic=told.automatic,
                    declared_how=told.declared_how,
                    refuses=told.refuses,
                    definition=told.definition,
                    ignores_header=told.declared is not None,
                    contradiction=told.contradiction,
                    today=UNKNOWN if told.contradiction else "",
                    today_why=_programs_differ(told) if told.contradiction else "",
                    standard=STANDARD,
                )

    def _named(self, prim: Any, identifier: str, attribute: Any) -> _Named:
        """Return the pictures at an attribute, with what is declared for them."""
        told = declaration_of(self._stage, prim, identifier, attribute, self._spaces)
        place = self._places.of(attribute)
        reader = self._places.shown(prim.GetPath())
        if self._told.setdefault((place, reader), told) != told:  # said by another variant
            place = self._places.in_choices(place)
        if told.contradiction:
            self.problems[
                finding(
                    "declarations_contradict",
                    self._name,
                    f"At {place}: {told.contradiction}.",
                    "Each route writes both so that they agree with the reading; is colorSpace "
                    "wrong, say so first with 'primecoat decide'.",
                    Location(self._name, place),
                )
            ] = None
        declared_at = Location(self._name, f"{place}/colorSpace")
        return _Named(place, self._references(attribute, place), told, declared_at)

    def _references(self, attribute: Any, place: str) -> list[int]:
        found: list[int] = []
        for suffix, asset in _values(attribute):
            key = f"{place}{suffix}"
            if key not in self._by_place:
                made = self._made(attribute, asset, key)
                first = len(self.references)
                self.references += made
                self._by_place[key] = tuple(range(first, first + len(made)))
            found += self._by_place[key]
        return found

    def _made(self, attribute: Any, asset: Any, place: str) -> list[ImageReference]:
        """Return the reference of an asset path; in a package one for each tile it stands for."""
        text = asset_text(asset, _layer_of(attribute, asset), self._folder)
        location = Location(self._name, place)
        if not text.package:
            return [ImageReference(text=text.text, location=location, written=text.written)]
        return [
            ImageReference(
                text="",
                location=location,
                written=text.written,
                embedded=self._content(tile, location),
                package=tile.text,
            )
            for tile in packaged_tiles(text) or [text]
        ]

    def _content(self, text: AssetText, location: Location) -> bytes:
        if text.package not in self._packaged:
            try:
                content = read_packaged(text.package)
            except (OSError, KeyError, zipfile.BadZipFile) as error:
                content = b""
                self.problems[
                    finding(
                        "reference_in_scene_is_broken",
                        self._name,
                        f"At {location.place}: {text.text} cannot be read: {error}.",
                        "Pack the scene again, with this picture in it.",
                        location,
                    )
                ] = None
            self._packaged[text.package] = content
        return self._packaged[text.package]


def _programs_differ(told: Declaration) -> str:
    return (
        f"programs differ: {told.contradiction}; one that goes by the first shows another picture "
        "than one that goes by the second"
    )


def _values(attribute: Any) -> Iterator[tuple[str, Any]]:
    """Yield the asset paths that an attribute holds, each with what to add to its place."""
    single = attribute.Get()
    if single is not None:
        yield from _items("", single)
    if attribute.GetNumTimeSamples():
        for time in attribute.GetTimeSamples():
            yield from _items(f"/time/{time:.17g}", attribute.Get(time))


def _items(suffix: str, value: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(value, door.Sdf.AssetPath):
        if value.path:
            yield suffix, value
        return
    for index, item in enumerate(value or ()):
        if item.path:
            yield f"{suffix}/item/{index}", item


def _layer_of(attribute: Any, asset: Any) -> Any:
    """Return the layer that an asset path is written in."""
    stack = attribute.GetPropertyStack(door.Usd.TimeCode.Default())
    for spec in stack:
        if spec.HasInfo("default") or spec.HasInfo("timeSamples"):
            return spec.layer
    return stack[0].layer if stack else attribute.GetStage().GetRootLayer()


def _is_picture(asset: Any) -> bool:
    return any(asset.path.lower().endswith(suffix) for suffix in IMAGE_SUFFIXES)


def _title(prim: Any) -> str:
    return str(prim.GetDisplayName() or prim.GetName())


def _owner(prim: Any) -> str:
    """Return the name of the material that a shader belongs to."""
    at = prim
    while at and not at.IsPseudoRoot():
        if at.GetTypeName() == "Material":
            return _title(at)
        at = at.GetParent()
    return _title(prim)
