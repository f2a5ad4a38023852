"""The colour space of a value in a stage: its own, that of an ancestor, or of the rendering.

Source: OpenUSD, *Color User's Guide* and ``UsdColorSpaceAPI``: an attribute's own ``colorSpace``,
else that of the nearest prim above with a ColorSpaceAPI, else linear Rec.709. ``UsdLux``: the
colour of a light is in the rendering colour space. A name may be defined on a prim; see
``definitions.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from primecoat.colour.ids import UNKNOWN
from primecoat.scenes.usd.definitions import Definition, definition_at, known_to_library
from primecoat.scenes.usd.places import Places

DEFAULT_SPACE = "lin_rec709_scene"
"""What OpenUSD takes for a colour that nothing is said about; not for lights."""

RENDERING = "renderingColorSpace"
_API_NAME = "colorSpace:name"


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectiveSpace:
    """A colour space and where it came from.

    Parameters
    ----------
    declared
        Name that the scene says for the value, itself or on a prim above it.
    default
        What applies where nothing is declared; None where not even that is known.
    origin
        ``own``, ``ancestor``, ``rendering``, ``default`` or ``nothing``.
    words
        Where it came from, in words.
    named
        Reading of the declared name where the stage defines it; ``unknown`` if that has no ID.
    definition
        How the stage defines the declared name, in words.
    """

    declared: str | None
    default: str | None
    origin: str
    words: str
    named: str | None = None
    definition: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rendering:
    """The working space that a stage says it is rendered in.

    Parameters
    ----------
    name
        As written, or the reading of a name that the stage defines; None if nothing says it or
        render settings differ.
    places
        Where it stands, or would stand: one for each RenderSettings prim.
    written
        What stands at each of the places.
    """

    name: str | None
    places: tuple[str, ...] = ()
    written: tuple[str, ...] = ()


def own_space(attribute: Any) -> str:
    """Return the ``colorSpace`` of an attribute itself; empty if it has none."""
    return str(attribute.GetColorSpace()) if attribute.HasColorSpace() else ""


def rendering_space(stage: Any, settings: Sequence[Any], places: Places) -> Rendering:
    """Return what the RenderSettings of a stage say; the ones it names as its own rule."""
    found = []
    for prim in settings:
        value = prim.GetAttribute(RENDERING).Get() if prim.HasAttribute(RENDERING) else None
        found.append((prim, f"{places.shown(prim.GetPath())}.{RENDERING}", str(value or "")))
    chosen = str(stage.GetMetadata("renderSettingsPrimPath") or "")
    ruling = [text for prim, _, text in found if str(prim.GetPath()) == chosen and text]
    names = set(ruling) or {text for _, _, text in found if text}
    if len(names) == 1:
        names = {_read_here(stage, found, names.pop(), places)}
    return Rendering(
        name=names.pop() if len(names) == 1 else None,
        places=tuple(place for _, place, _ in found),
        written=tuple(text for _, _, text in found),
    )


def _read_here(stage: Any, found: Sequence[tuple[Any, str, str]], name: str, places: Places) -> str:
    """Return the reading of a name that the stage defines where it stands; else the name."""
    spaces = Spaces(stage, Rendering(name=None), places)
    defined = {spaces.defined(prim, name) for prim, _, text in found if text == name}
    only = defined.pop() if len(defined) == 1 else None
    return only.reading if only is not None and only.reading != UNKNOWN else name


class Spaces:
    """Resolves the colour spaces of the values of one stage.

    Parameters
    ----------
    rendering
        The working space, where the stage says it.
    """

    def __init__(self, stage: Any, rendering: Rendering, places: Places) -> None:
        self._stage = stage
        self._rendering = rendering
        self._places = places
        self._above: dict[Any, tuple[str, str]] = {}
        self._defined: dict[tuple[Any, str], Definition | None] = {}

    def forget(self) -> None:
        """Drop what is remembered: the stage was composed anew."""
        self._above.clear()
        self._defined.clear()

    def defined(self, prim: Any, name: str) -> Definition | None:
        """Return what a stage defines a name to at a prim; None if it does not."""
        if known_to_library(name):
            return None
        key = (prim.GetPath(), name)
        if key not in self._defined:
            self._defined[key] = self._define(prim, name)
        return self._defined[key]

    def of(self, attribute: Any, *, light: bool) -> EffectiveSpace:
        """Return the effective space of a colour-typed attribute.

        Parameters
        ----------
        light
            Whether it is the colour of a light.
        """
        own = own_space(attribute)
        if own:
            return self._declared(attribute, own, "own", "its own colorSpace says so")
        name, prim = self._governing(attribute.GetPrim())
        if name:
            words = f"the ColorSpaceAPI of {prim} says so"
            return self._declared(attribute, name, "ancestor", words)
        if self._rendering.name:
            return EffectiveSpace(
                declared=None,
                default=self._rendering.name,
                origin="rendering",
                words="nothing is declared for it, so it is in the rendering colour space",
            )
        if light:
            return EffectiveSpace(
                declared=None,
                default=None,
                origin="nothing",
                words="a light is in the rendering colour space, and nothing says which that is",
            )
        return EffectiveSpace(
            declared=None,
            default=DEFAULT_SPACE,
            origin="default",
            words="nothing is declared for it, so OpenUSD's default applies",
        )

    def _declared(self, attribute: Any, name: str, origin: str, words: str) -> EffectiveSpace:
        defined = self.defined(attribute.GetPrim(), name)
        if defined is None:
            return EffectiveSpace(declared=name, default=None, origin=origin, words=words)
        return EffectiveSpace(
            declared=name,
            default=None,
            origin=origin,
            words=f"{words}; {defined.words}",
            named=defined.reading,
            definition=defined.words,
        )

    def _define(self, prim: Any, name: str) -> Definition | None:
        if not prim or prim.IsPseudoRoot():
            return None
        own = definition_at(prim, name)
        if own is not None:
            return own
        if prim.IsPrototype():
            above = {self.defined(i.GetParent(), name) for i in self._places.instances(prim)}
            return above.pop() if len(above) == 1 else None
        return self.defined(prim.GetParent(), name)

    def _governing(self, prim: Any) -> tuple[str, str]:
        """Return name and place of the nearest ColorSpaceAPI at or above a prim."""
        path = prim.GetPath()
        found = self._above.get(path)
        if found is None:
            found = self._look_up(prim, path)
            self._above[path] = found
        return found

    def _look_up(self, prim: Any, path: Any) -> tuple[str, str]:
        if prim.IsPseudoRoot():
            return "", ""
        if "ColorSpaceAPI" in prim.GetAppliedSchemas():
            name = prim.GetAttribute(_API_NAME).Get()
            if name:
                return str(name), str(self._places.shown(path))
        if prim.IsPrototype():
            above = {self._governing(i.GetParent()) for i in self._places.instances(prim)}
            return above.pop() if len(above) == 1 else ("", "")
        return self._governing(prim.GetParent())
