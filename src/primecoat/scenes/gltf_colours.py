"""The colours of a glTF file: factors of materials, vertex colours and lights.

Source: Khronos Group, *glTF 2.0 Specification*, 3.9 (materials), 3.7.2.1 (vertex colours), and
KHR_lights_punctual: all of them are linear with Rec.709 primaries.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray

from primecoat.location import Location
from primecoat.scenes.gltf_accessor import colour_rows
from primecoat.scenes.gltf_buffers import Buffers
from primecoat.scenes.gltf_document import GltfDocument, as_dict, lookup, within
from primecoat.scenes.gltf_slots import FACTORS
from primecoat.scenes.model import LARGEST, ColourValue

_FACTOR_SPACE = "lin_rec709_scene"


def colours(document: GltfDocument, buffers: Buffers) -> Iterator[ColourValue]:
    """Yield the factors of materials, and the vertex colours of meshes."""
    for index, material in enumerate(document.items("materials")):
        owner = str(material.get("name", f"material {index}"))
        for path, slot, extension in FACTORS:
            pointer, value = lookup(material, path, extension)
            location = Location(document.name, f"/materials/{index}{pointer}")
            yield from _colour(document, value, location, owner, slot)
    yield from _vertex_colours(document, buffers)


def _vertex_colours(document: GltfDocument, buffers: Buffers) -> Iterator[ColourValue]:
    accessors, views = document.items("accessors"), document.items("bufferViews")
    for number, mesh in enumerate(document.items("meshes")):
        primitives = mesh.get("primitives")
        for part, primitive in enumerate(primitives if isinstance(primitives, list) else ()):
            index = as_dict(as_dict(primitive).get("attributes")).get("COLOR_0")
            if index is None:
                continue
            place = f"/meshes/{number}/primitives/{part}/attributes/COLOR_0"
            location = Location(document.name, place)
            accessor = accessors[index] if within(index, accessors) else {}
            view_index = accessor.get("bufferView")
            view = views[view_index] if within(view_index, views) else {}
            buffer = buffers.buffer(view.get("buffer"), location) if view else b""
            rows = colour_rows(accessor, view, buffer)
            if rows is None:
                document.problem(location, "its vertex colours cannot be read")
                continue
            yield _many(rows, location, str(mesh.get("name", f"mesh {number}")), "base_color")


def lights(document: GltfDocument) -> Iterator[ColourValue]:
    """Yield the colours of punctual and of image-based lights."""
    for index, light in enumerate(document.extension_items("KHR_lights_punctual", "lights")):
        place = f"/extensions/KHR_lights_punctual/lights/{index}/color"
        owner = str(light.get("name", f"light {index}"))
        value = light.get("color", [1.0, 1.0, 1.0])
        yield from _colour(document, value, Location(document.name, place), owner, "light_color")
    yield from _harmonics(document)


def _harmonics(document: GltfDocument) -> Iterator[ColourValue]:
    """Yield the irradiance of image-based lights: nine linear RGB coefficients each."""
    for index, light in enumerate(document.extension_items("EXT_lights_image_based", "lights")):
        place = f"/extensions/EXT_lights_image_based/lights/{index}/irradianceCoefficients"
        rows = light.get("irradianceCoefficients")
        if rows is None:
            continue
        location = Location(document.name, place)
        colours = [row for row in rows if _is_colour(row)] if isinstance(rows, list) else []
        if not colours or not isinstance(rows, list) or len(colours) < len(rows):
            document.problem(location, "rows of three numbers are needed")
            continue
        owner = str(light.get("name", f"image-based light {index}"))
        yield _many(np.array([row[:3] for row in colours], float), location, owner, "light_color")


def _colour(
    document: GltfDocument, value: object, location: Location, owner: str, slot: str
) -> Iterator[ColourValue]:
    if value is None:
        return
    if not _is_colour(value):
        document.problem(location, f"a colour of 3 or 4 numbers is needed, found {value!r:.60}")
        return
    yield ColourValue(
        location=location,
        owner=owner,
        slot=slot,
        value=(float(value[0]), float(value[1]), float(value[2])),
        fixed=_FACTOR_SPACE,
    )


def _many(rows: NDArray[np.float64], location: Location, owner: str, slot: str) -> ColourValue:
    """Return many colours, shape (count, 3), at one place as one value: the least and greatest."""
    least, most = rows.min(axis=0).tolist(), rows.max(axis=0).tolist()
    return ColourValue(
        location=location,
        owner=owner,
        slot=slot,
        value=(least[0], least[1], least[2]),
        maximum=(most[0], most[1], most[2]),
        count=len(rows),
        fixed=_FACTOR_SPACE,
    )


def _is_colour(value: object) -> TypeGuard[list[float]]:
    return (
        isinstance(value, list)
        and len(value) in (3, 4)
        and all(isinstance(v, int | float) and abs(v) <= LARGEST for v in value)
    )
