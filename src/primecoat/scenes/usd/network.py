"""From the inputs of a surface upstream to the textures that feed them.

The way leads through node graphs and their interface inputs, and through nodes in between, which
may pick channels or only be steered by a texture.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from primecoat.scenes.channels import CHANNELS
from primecoat.scenes.shading import SHADERS, slot_of
from primecoat.scenes.usd.shaders import (
    category_of,
    is_texture,
    texture_channels,
    through,
    width,
)
from primecoat.scenes.usd.walk import identifier_of

Want = tuple[Any, str, str]
"""Path of a property, slot, and channels that are wanted of it."""

_SURFACES = frozenset(SHADERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A texture that feeds an input of a surface.

    Parameters
    ----------
    texture
        Path of the texture's prim.
    slot, channels
        What it is used for.
    target
        Attribute of the surface.
    surface
        Prim of the surface; the same object for all that feeds it.
    """

    texture: Any
    slot: str
    channels: str
    target: Any
    surface: Any


class Network:
    """The shaders of a stage and how they are connected.

    Parameters
    ----------
    stage
        The stage.
    shaders
        Shader prims with their identifiers, by path.
    """

    def __init__(self, stage: Any, shaders: Mapping[Any, tuple[Any, str]]) -> None:
        self._stage = stage
        self._shaders = dict(shaders)
        self._known: dict[Want, tuple[Want, ...]] = {}
        self.slot_of_value: dict[Any, str] = {}

    def reached(self) -> Iterator[Reached]:
        """Yield every texture with the input of a surface that it feeds."""
        for prim, identifier in list(self._shaders.values()):
            category = category_of(identifier)
            if category not in _SURFACES:
                continue
            for target in prim.GetAuthoredAttributes():
                name = target.GetName()
                if not name.startswith("inputs:"):
                    continue
                short, kind = name[len("inputs:") :], str(target.GetTypeName())
                slot = slot_of(category, short, kind)
                self.slot_of_value[target.GetPath()] = slot
                wanted = CHANNELS[: min(width(kind), 3)]
                found: dict[Want, None] = {}
                for source in target.GetConnections():
                    for end in self._upstream((source, slot, wanted)):
                        found[end] = None
                for texture, word, channels in found:
                    yield Reached(
                        texture=texture, slot=word, channels=channels, target=target, surface=prim
                    )

    def shader(self, path: Any) -> tuple[Any, str]:
        """Return a shader prim that was met, with its identifier."""
        prim, identifier = self._shaders[path]
        return prim, identifier

    def between(self) -> Iterator[tuple[Any, str, str]]:
        """Yield every shader that was gone through, with its identifier and slot."""
        for path, slot in self.slot_of_value.items():
            if path in self._shaders:
                yield (*self._shaders[path], slot)

    def textures_above(self, prim: Any, slot: str) -> list[Any]:
        """Return the paths of the textures that feed a shader for a slot."""
        ends = (
            end
            for output in prim.GetAttributes()
            if output.GetName().startswith("outputs:")
            for end in self._upstream((output.GetPath(), slot, CHANNELS[:3]))
        )
        return list(dict.fromkeys(path for path, word, _ in ends if word == slot))

    def _upstream(self, want: Want) -> tuple[Want, ...]:
        """Return the textures that feed a property, each with slot and channels."""
        known = self._known.get(want)
        if known is None:
            self._known[want] = ()  # a circle leads nowhere
            known = tuple(dict.fromkeys(self._steps(want)))
            self._known[want] = known
        return known

    def _steps(self, want: Want) -> Iterator[Want]:
        path, slot, wanted = want
        home = path.GetPrimPath()
        shader = self._shaders.get(home)
        if shader is None:
            prim = self._stage.GetPrimAtPath(home)
            if not prim or prim.GetTypeName() != "Shader":
                yield from self._graph(path, slot, wanted)
                return
            shader = self._shaders[home] = prim, identifier_of(prim)
        prim, identifier = shader
        category = category_of(identifier)
        output = path.name.removeprefix("outputs:")
        if is_texture(category):
            attribute = prim.GetAttribute(path.name)
            kind = str(attribute.GetTypeName()) if attribute else ""
            yield home, slot, texture_channels(output, kind, wanted)
            self.slot_of_value.setdefault(home, slot)
            return
        self.slot_of_value.setdefault(home, slot)
        wanted = _picked(prim, category, wanted)
        for item in prim.GetAuthoredAttributes():
            if not item.GetName().startswith("inputs:"):
                continue
            name, kind = item.GetName()[len("inputs:") :], str(item.GetTypeName())
            word, channels = through(category, name, kind, output, slot, wanted)
            if word != slot:
                self.slot_of_value.setdefault(item.GetPath(), word)
            for source in item.GetConnections():
                if channels:
                    yield from self._upstream((source, word, channels))

    def _graph(self, path: Any, slot: str, wanted: str) -> Iterator[Want]:
        """Follow a property of a node graph or material to what it stands for."""
        attribute = self._stage.GetAttributeAtPath(path)
        if not attribute:
            return
        self.slot_of_value.setdefault(path, slot)
        for source in attribute.GetConnections():
            yield from self._upstream((source, slot, wanted))


def _picked(prim: Any, category: str, wanted: str) -> str:
    """Return which channels a node takes of its input, where a value of its own says so."""
    if category == "extract":
        attribute = prim.GetAttribute("inputs:index")
        index = attribute.Get() if attribute else 0
        return CHANNELS[int(index or 0) % 4]
    if category == "swizzle":
        attribute = prim.GetAttribute("inputs:channels")
        letters = str((attribute.Get() if attribute else "") or "")
        letters = letters.translate(str.maketrans("xyzw", CHANNELS))
        return "".join(dict.fromkeys(c for c in letters if c in CHANNELS)) or wanted
    return wanted
