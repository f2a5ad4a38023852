"""The colour space of a value in a stage: its own, that of an ancestor, or of the rendering.

Source: OpenUSD, *Color User's Guide* and ``UsdColorSpaceAPI``: an attribute's own ``colorSpace``,
else that of the nearest prim above with a ColorSpaceAPI, else linear Rec.709. ``UsdLux``: the
colour of a light is in the rendering colour space.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

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
    """

    declared: str | None
    default: str | None
    origin: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rendering:
    """The working space that a stage says it is rendered in.

    Parameters
    ----------
    name
        As written; None if nothing says it or render settings differ.
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
    return Rendering(
        name=names.pop() if len(names) == 1 else None,
        places=tuple(place for _, place, _ in found),
        written=tuple(text for _, _, text in found),
    )


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

    def forget(self) -> None:
        """Drop what is remembered: the stage was composed anew."""
        self._above.clear()

    def of(self, attribute: Any, *, light: bool) -> EffectiveSpace:
        """Return the effective space of a colour-typed attribute.

        Parameters
        ----------
        light
            Whether it is the colour of a light.
        """
        own = own_space(attribute)
        if own:
            return EffectiveSpace(
                declared=own, default=None, origin="own", words="its own colorSpace says so"
            )
        name, prim = self._governing(attribute.GetPrim())
        if name:
            return EffectiveSpace(
                declared=name,
                default=None,
                origin="ancestor",
                words=f"the ColorSpaceAPI of {prim} says so",
            )
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
