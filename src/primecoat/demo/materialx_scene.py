"""The materials and lights of the tea scene as MaterialX 1.39: same pictures, same numbers.

They are taken from the glTF document and from the scene sheet, so that nothing is said twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from primecoat.demo.gltf_uses import ColourUse, PictureUse
from primecoat.demo.materialx_material import Surface, from_gltf, surface
from primecoat.demo.materialx_nodes import FOLDER, SRGB, Element, colour, number, plain_name
from primecoat.demo.sheet import SheetRow

Json = dict[str, Any]

WORKING = "lin_rec709"
"""The document's working space, and the space of every number that says nothing else."""

_LIGHTS = {"point": "point_light", "directional": "directional_light", "spot": "spot_light"}
_CANNOT = (
    "meshes, vertex colours, transforms, cameras and free-form extras: MaterialX holds materials",
    "environment pictures and the backplate: its light shaders take no picture",
    "the mask of the bowl and the label of the crate: no surface here takes them",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialXScene:
    """A MaterialX document with its answers.

    Parameters
    ----------
    text
        The document.
    uses, colours
        Every use of a picture and every colour in it; colours by path.
    stored
        Paths of the colours that are sRGB-encoded; the others are linear Rec.709.
    cannot
        What of the scene MaterialX, or the shading model that was taken, cannot express.
    """

    text: str
    uses: tuple[PictureUse, ...]
    colours: tuple[ColourUse, ...]
    stored: frozenset[str]
    cannot: tuple[str, ...]


def materialx_document(document: Json, rows: tuple[SheetRow, ...]) -> MaterialXScene:
    """Return the scene's materials and lights as a MaterialX document.

    Parameters
    ----------
    document
        The scene as glTF.
    rows
        The scene sheet.
    """

    def path_of(texture: Json) -> str:
        source = document["textures"][texture["index"]]["source"]
        return str(document["images"][source]["uri"])

    surfaces = [from_gltf(material, path_of) for material in document["materials"]]
    _heights(surfaces, rows)
    surfaces += _from_sheet(rows)
    lights, light_colours = _lights(document, rows)
    root = Element("materialx", {"version": "1.39", "colorspace": WORKING, "fileprefix": FOLDER})
    root.children = [e for made in surfaces for e in made.elements()] + lights
    inner = [use for made in surfaces for use in made.maps.uses]
    stored = {f"/{plain_name(r.owner)}_surface/base_color" for r in rows if r.value}
    return MaterialXScene(
        text="\n".join(('<?xml version="1.0" encoding="UTF-8"?>', *root.lines(), "")),
        uses=tuple(_as_slot(use) for use in inner),
        colours=(*(c for made in surfaces for c in made.maps.colours), *light_colours),
        stored=frozenset(stored),
        cannot=(*_CANNOT, *(words for made in surfaces for words in dict.fromkeys(made.missing))),
    )


def _as_slot(use: PictureUse) -> PictureUse:
    """Return a use whose slot is a slot word: terms of shading models are finer."""
    finer = {"coat_roughness": "roughness", "transmission": "other_data"}
    return replace(use, slot=finer.get(use.slot, use.slot))


def _heights(surfaces: list[Surface], rows: tuple[SheetRow, ...]) -> None:
    """Add the height pictures of the sheet to the surfaces they belong to."""
    by_owner = {made.owner: made for made in surfaces}
    for row in rows:
        made = by_owner.get(plain_name(row.owner))
        if row.slot != "height" or made is None:
            continue
        image = made.maps.image(row.path, "float", "height_image")
        made.maps.note_use(row.path, "height", "r")
        made.displace(made.maps.out(image, "height"))


def _from_sheet(rows: tuple[SheetRow, ...]) -> Iterator[Surface]:
    """Yield the surfaces that only the sheet holds: tray, plaster, spoon, awning."""
    models = {"oak tray": "gltf_pbr", "plaster wall": "open_pbr_surface"}
    models |= {"brass spoon": "standard_surface", "awning cloth": "standard_surface"}
    for owner, model in models.items():
        made = surface(owner, model)
        for row in rows:
            if row.owner == owner:
                _add_row(made, row)
        yield made


def _add_row(made: Surface, row: SheetRow) -> None:
    if row.value:
        value = tuple(float(part) for part in row.value.split())
        made.plug(row.slot, colour(value), value)
        made.shader.children[-1].attributes["colorspace"] = SRGB
        return
    kind = "color3" if row.slot == "base_color" else "float"
    socket = made.maps.image(row.path, kind, f"{row.slot}_image")
    made.maps.note_use(row.path, row.slot, row.channels)
    term = row.slot
    if term == "glossiness":
        socket = made.maps.node("invert", "float", "gloss_to_roughness", **{"in": socket})
        term = "roughness"
    made.plug(term, made.maps.out(socket, term))


def _lights(document: Json, rows: tuple[SheetRow, ...]) -> tuple[list[Element], list[ColourUse]]:
    """Return the light shaders of the scene and of the sheet, and their colours."""
    said = document["extensions"]["KHR_lights_punctual"]["lights"]
    lamps = [(_LIGHTS[x["type"]], x["name"], x["color"], x["intensity"]) for x in said]
    lamps += [
        ("point_light", row.owner, [float(part) for part in row.value.split()], 1.0)
        for row in rows
        if row.slot == "light_color"
    ]
    elements, colours = [], []
    for category, words, value, intensity in lamps:
        name = plain_name(words)
        inputs = [colour(value).element("color"), number(intensity).element("intensity")]
        elements.append(Element(category, {"name": name, "type": "lightshader"}, inputs))
        low = tuple(float(v) for v in value)
        place = f"/{name}/color"
        colours.append(ColourUse(location=place, slot="light_color", low=low, high=low))
    return elements, colours
