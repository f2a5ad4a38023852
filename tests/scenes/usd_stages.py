"""Small USD layers, written by hand, and what tests ask of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from primecoat.scenes.formats import usd
from primecoat.scenes.model import DATA_SLOTS, ColourValue, Edit, ImageUse, Scene
from primecoat.scenes.usd import door

PREVIEW = """
def Material "M" (
{metadata}
)
{{
    token outputs:surface.connect = </M/surface.outputs:surface>
    def Shader "surface"
    {{
        uniform token info:id = "UsdPreviewSurface"
        {input}
        token outputs:surface
    }}
    def Shader "tex"
    {{
        uniform token info:id = "UsdUVTexture"
        {tex}
        color3f outputs:rgb
        float outputs:r
        float outputs:g
        float outputs:b
        float outputs:a
    }}
}}
"""

DIFFUSE = "color3f inputs:diffuseColor.connect = </M/tex.outputs:rgb>"
FILE = "asset inputs:file = @./tex/cup.png@"


def preview(tex: str = FILE, inputs: str = DIFFUSE, metadata: str = "") -> str:
    """Return a material with one texture reader."""
    return PREVIEW.format(tex=tex, input=inputs, metadata=metadata)


def layer(folder: Path, text: str, name: str = "root.usda", metadata: str = "") -> Path:
    """Write a layer as text."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    head = f"(\n{metadata}\n)\n" if metadata else ""
    path.write_text(f"#usda 1.0\n{head}\n{text}", encoding="utf-8")
    return path


def scene_of(folder: Path, text: str, metadata: str = "", **roots: Any) -> Scene:
    """Write a layer and read it."""
    return usd.read(layer(folder, text, metadata=metadata), "root.usda", **roots)


def uses(scene: Scene) -> set[tuple[str, str, str, str]]:
    """Return text, owner, slot and channels of every use."""
    return {
        (scene.references[use.reference].text, use.owner, use.slot, use.channels)
        for use in scene.uses
    }


def one_use(scene: Scene) -> ImageUse:
    """Return the only use."""
    (use,) = scene.uses
    return use


def at(scene: Scene, place: str) -> ColourValue:
    """Return the colour or light at a place."""
    return next(c for c in (*scene.colours, *scene.lights) if c.location.place == place)


def declare_all(scene: Scene, colour: str, data: str = "data") -> list[Edit]:
    """Return edits that declare every picture, by what its slot wants."""
    found = {}
    for use in scene.uses:
        place = use.declared_at.place if use.declared_at else ""
        before = "" if use.partly else use.declared or ""
        if use.channels != "a":
            after = data if use.slot in DATA_SLOTS else colour
            found[place] = Edit(place=place, before=before, after=after)
    return [edit for edit in found.values() if edit.before != edit.after]


def convert_all(scene: Scene, source: str, target: str) -> list[Edit]:
    """Return edits that convert every colour and light and declare what it then is."""
    found = []
    for value in (*scene.colours, *scene.lights):
        if value.declared_at is None:
            continue
        place = value.location.place
        found.append(Edit(place=f"{place}/values", before=source, after=target))
        before = value.declared or ""
        found.append(Edit(place=value.declared_at.place, before=before, after=target))
    return found


def all_values(stage: Any) -> dict[str, Any]:
    """Return everything that a stage says: metadata and values of prims and properties."""
    found: dict[str, Any] = {"/": _plain(stage.GetPseudoRoot().GetAllMetadata())}
    for prim in _prims(stage):
        found[str(prim.GetPath())] = _plain(prim.GetAllMetadata())
        for prop in prim.GetProperties():
            path = str(prop.GetPath())
            found[path] = _plain(prop.GetAllMetadata())
            if isinstance(prop, door.Usd.Attribute):
                found[f"{path} value"] = _text(prop.Get())
                found[f"{path} times"] = [(t, _text(prop.Get(t))) for t in prop.GetTimeSamples()]
                found[f"{path} from"] = [str(p) for p in prop.GetConnections()]
            else:
                found[f"{path} to"] = [str(p) for p in prop.GetTargets()]
    return found


def _prims(stage: Any) -> Iterator[Any]:
    yield from door.Usd.PrimRange.Stage(
        stage, door.Usd.TraverseInstanceProxies(door.Usd.PrimDefaultPredicate)
    )


def _plain(metadata: dict[str, Any]) -> dict[str, str]:
    """Return metadata as text, without the composed arcs, which a layer above adds to."""
    own = {"customLayerData", "inheritPaths", "subLayers", "variantSetNames"}
    return {key: _text(value) for key, value in metadata.items() if key not in own}


def _text(value: Any) -> str:
    return "[" + ", ".join(map(str, value)) + "]" if hasattr(value, "__len__") else str(value)
