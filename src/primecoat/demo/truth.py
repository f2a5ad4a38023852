"""The known answers to a demo scene, taken from the scene's own documents and the standards.

Nothing here looks at a pixel or a header: glTF fixes what its slots hold, the sheet declares
what its rows hold, and where neither speaks the answer is ``unknown``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.demo.faults import FAULTS
from primecoat.demo.gltf_uses import ColourUse, PictureUse, gltf_colours, gltf_uses
from primecoat.demo.materialx_scene import MaterialXScene
from primecoat.demo.sheet import SheetRow
from primecoat.demo.usd_scene import UsdScene
from primecoat.scenes.model import DATA_SLOTS

Json = dict[str, Any]

SCENE, MATERIALX, USD, SHEET = "tea.gltf", "tea.mtlx", "tea.usda", "tea.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Use:
    """A picture in a slot of one of the two scene files, with its reading."""

    path: str
    scene: str
    owner: str
    slot: str
    channels: str
    reading: str


def truth(
    document: Json,
    rows: tuple[SheetRow, ...],
    materials: MaterialXScene,
    stage: UsdScene,
    clean: bool,
) -> Json:
    """Return the document ``primecoat.truth/1``.

    Parameters
    ----------
    document
        The glTF document.
    rows
        The rows of the scene sheet.
    materials
        The MaterialX document.
    stage
        The USD layer.
    clean
        True for the twin without faults.
    """
    uses = (
        *(_picture_use(use, SCENE) for use in gltf_uses(document)),
        *(_picture_use(use, MATERIALX) for use in materials.uses),
        *(_picture_use(use, USD) for use in stage.uses),
        *_sheet_uses(rows),
    )
    paths = sorted({use.path for use in uses})
    colours = [
        *(_gltf_colour(colour, SCENE) for colour in gltf_colours(document)),
        *(_gltf_colour(colour, USD) for colour in stage.colours),
        *_materialx_colours(materials),
        *_sheet_colours(rows),
    ]
    faults = () if clean else FAULTS
    return {
        "document": "primecoat.truth/1",
        "clean": clean,
        "images": [_image(path, [use for use in uses if use.path == path]) for path in paths],
        "colours": colours,
        "findings": [{"code": fault.code, "where": fault.surveyed} for fault in faults],
        "faults": [{"name": f.name, "where": f.surveyed, "words": f.words} for f in faults],
    }


def _picture_use(use: PictureUse, scene: str) -> _Use:
    linear = use.slot == "environment"
    colour = "lin_rec709_scene" if linear else "srgb_rec709_scene"
    reading = DATA if use.slot in DATA_SLOTS else colour
    surveyed = {fault.where: fault.surveyed for fault in FAULTS}
    return _Use(
        path=surveyed.get(use.path, use.path),
        scene=scene,
        owner=use.owner,
        slot=use.slot,
        channels=use.channels,
        reading=reading,
    )


def _sheet_uses(rows: Iterable[SheetRow]) -> list[_Use]:
    return [
        _Use(
            path=row.path,
            scene=SHEET,
            owner=row.owner,
            slot=row.slot,
            channels=row.channels,
            reading=row.space or (DATA if row.slot in DATA_SLOTS else UNKNOWN),
        )
        for row in rows
        if row.path
    ]


def _image(path: str, uses: list[_Use]) -> Json:
    return {
        "path": path,
        "reading": _reading(uses),
        "content": _content(uses),
        "uses": [
            {
                "scene": use.scene,
                "owner": use.owner,
                "slot": use.slot,
                "channels": use.channels,
                "reading": use.reading,
            }
            for use in uses
        ],
    }


def _reading(uses: list[_Use]) -> str:
    """Return the picture's reading; unknown where the same channel is wanted two ways."""
    wanted: dict[str, set[str]] = {}
    for use in uses:
        for channel in use.channels:
            wanted.setdefault(channel, set()).add(use.reading)
    if any(len(readings) > 1 for readings in wanted.values()):
        return UNKNOWN
    return next((use.reading for use in uses if use.reading != DATA), DATA)


def _content(uses: list[_Use]) -> str:
    """Return the slot word of what a picture is."""
    slots = list(dict.fromkeys(use.slot for use in uses))
    coloured = [slot for slot in slots if slot not in DATA_SLOTS]
    if coloured:
        return coloured[0]
    return slots[0] if len(slots) == 1 else "packed"


def _gltf_colour(colour: ColourUse, scene: str) -> Json:
    head: Json = {"scene": scene, "location": colour.location, "slot": colour.slot}
    if colour.count is None:
        return {**head, "value": list(colour.low), "reading": "lin_rec709_scene"}
    span = {"count": colour.count, "min": list(colour.low), "max": list(colour.high)}
    return {**head, **span, "reading": "lin_rec709_scene"}


def _materialx_colours(materials: MaterialXScene) -> list[Json]:
    return [
        {
            "scene": MATERIALX,
            "location": colour.location,
            "slot": colour.slot,
            "value": list(colour.low),
            "reading": "srgb_rec709_scene"
            if colour.location in materials.stored
            else "lin_rec709_scene",
        }
        for colour in materials.colours
    ]


def _sheet_colours(rows: tuple[SheetRow, ...]) -> list[Json]:
    """Return the picked colours; row 1 is the heading."""
    return [
        {
            "scene": SHEET,
            "location": f"row {number}",
            "slot": row.slot,
            "value": [float(part) for part in row.value.split()],
            "reading": row.space or UNKNOWN,
        }
        for number, row in enumerate(rows, start=2)
        if row.value
    ]
