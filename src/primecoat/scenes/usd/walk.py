"""One walk over the prims of a stage, gathering what may be of interest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from primecoat.scenes.usd import door


@dataclass(slots=True)
class Met:
    """What a walk met.

    Parameters
    ----------
    shaders
        Shader prims by path, with their identifiers.
    colours, assets
        Authored attributes of role colour, and of type asset.
    lights, settings, with_variants
        Prims.
    """

    shaders: dict[Any, tuple[Any, str]] = field(default_factory=dict)
    colours: list[Any] = field(default_factory=list)
    assets: list[Any] = field(default_factory=list)
    lights: dict[Any, Any] = field(default_factory=dict)
    settings: list[Any] = field(default_factory=list)
    with_variants: list[Any] = field(default_factory=list)


def all_prims(stage: Any) -> Iterator[Any]:
    """Yield every prim that is active, loaded and defined; what instances share only once."""
    yield from stage.Traverse()
    for prototype in sorted(stage.GetPrototypes(), key=lambda p: str(p.GetPath())):
        yield from door.Usd.PrimRange(prototype)


def identifier_of(prim: Any) -> str:
    """Return the identifier of a shader; empty if it has none."""
    return str(prim.GetAttribute("info:id").Get() or "")


def colour_types() -> list[Any]:
    """Return the value types whose numbers are colours: those of role ``Color``."""
    names = door.Sdf.ValueTypeNames
    kinds = (getattr(names, name) for name in dir(names) if name[0].isupper())
    return [kind for kind in kinds if getattr(kind, "role", "") == "Color"]


def walk(prims: Iterable[Any]) -> Met:
    """Walk over some prims."""
    met = Met()
    kinds = dict.fromkeys(colour_types(), met.colours)
    names = door.Sdf.ValueTypeNames
    kinds |= {names.Asset: met.assets, names.AssetArray: met.assets}
    is_light: dict[tuple[str, ...], bool] = {}
    for prim in prims:
        kind = prim.GetTypeName()
        if kind != "Shader":
            key = (kind, *prim.GetAppliedSchemas())
            if key not in is_light:
                is_light[key] = prim.HasAPI(door.UsdLux.LightAPI)
            if is_light[key]:
                met.lights[prim.GetPath()] = prim
            if kind == "RenderSettings":
                met.settings.append(prim)
        if prim.HasVariantSets():
            met.with_variants.append(prim)
        if kind == "Shader":
            met.shaders[prim.GetPath()] = (prim, identifier_of(prim))
        for name in prim.GetAuthoredPropertyNames():
            if name.startswith(("outputs:", "info:")):
                continue  # they hold no values
            attribute = prim.GetAttribute(name)
            kind_of_value = kinds.get(attribute.GetTypeName()) if attribute else None
            if kind_of_value is not None and attribute.HasAuthoredValue():
                kind_of_value.append(attribute)
    return met
