"""Which images a glTF file names or holds, and which slots of materials and lights take them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any, TypeGuard
from urllib.parse import unquote

from primecoat.files import sha256_of_bytes
from primecoat.location import Location
from primecoat.scenes.gltf_buffers import Buffers
from primecoat.scenes.gltf_document import GltfDocument, as_dict, lookup
from primecoat.scenes.gltf_slots import SLOTS
from primecoat.scenes.model import COLOUR_SLOTS, ImageReference, ImageUse

STANDARD = "glTF 2.0"

_TEXTURE_SPACE = "srgb_rec709_scene"

_IMAGE_SOURCES = ("KHR_texture_basisu", "EXT_texture_webp")
"""Texture extensions whose ``source`` stands beside or instead of the core one."""


def references(document: GltfDocument, buffers: Buffers) -> Iterator[ImageReference]:
    """Yield every image: a file that is named, or one that is held inside."""
    for index, image in enumerate(document.items("images")):
        uri = image.get("uri")
        if isinstance(uri, str):
            location = Location(document.name, f"/images/{index}/uri")
            if uri.startswith("data:"):
                media_type, content = buffers.data_uri(uri, location)
                yield ImageReference(
                    text="",
                    location=location,
                    written=mark(uri),
                    embedded=content,
                    media_type=media_type,
                )
            else:
                yield ImageReference(text=unquote(uri), location=location, written=uri)
            continue
        location = Location(document.name, f"/images/{index}/bufferView")
        content = buffers.view(image.get("bufferView"), location)
        yield ImageReference(
            text="",
            location=location,
            written=str(image.get("bufferView")),
            embedded=content,
            media_type=str(image.get("mimeType", "")),
        )


def mark(written: str) -> str:
    """Return what stands for a reference in a plan: a data URI by its hash, for it can be huge."""
    if not written.startswith("data:"):
        return written
    return f"data:sha256,{sha256_of_bytes(written.encode())}"


def uses(document: GltfDocument, count: int) -> Iterator[ImageUse]:
    """Yield what takes an image, of ``count`` images."""
    for index, material in enumerate(document.items("materials")):
        owner = str(material.get("name", f"material {index}"))
        cut_out = material.get("alphaMode", "OPAQUE") in ("MASK", "BLEND")
        for slot in SLOTS:
            pointer, texture = lookup(material, slot.path, slot.extension)
            if not isinstance(texture, dict):
                continue
            location = Location(document.name, f"/materials/{index}{pointer}")
            images = _images_of(document, texture, location, count)
            for image, (word, channels) in product(images, slot.takes):
                if word == "opacity" and not cut_out:
                    continue
                yield ImageUse(
                    reference=image,
                    owner=owner,
                    slot=word,
                    channels=channels,
                    location=location,
                    fixed=_TEXTURE_SPACE if word in COLOUR_SLOTS else "data",
                    standard=STANDARD,
                )
    yield from _environments(document, count)


def _environments(document: GltfDocument, count: int) -> Iterator[ImageUse]:
    """Yield the cube faces of image-based lights: RGBD codes, so data."""
    for index, light in enumerate(document.extension_items("EXT_lights_image_based", "lights")):
        place = f"/extensions/EXT_lights_image_based/lights/{index}/specularImages"
        location = Location(document.name, place)
        levels = light.get("specularImages")
        faces = [f for level in levels for f in level] if _is_table(levels) else []
        if not faces:
            document.problem(location, "its light names no images")
        for face in dict.fromkeys(faces):
            if not isinstance(face, int) or not 0 <= face < count:
                document.problem(location, f"it names image {face!r}, of {count}")
                continue
            yield ImageUse(
                reference=face,
                owner=str(light.get("name", f"image-based light {index}")),
                slot="environment",
                channels="rgba",
                location=location,
                fixed="data",
                standard="EXT_lights_image_based",
            )


def _images_of(
    document: GltfDocument, texture: dict[str, Any], location: Location, count: int
) -> tuple[int, ...]:
    """Return the images of a texture: the core one and those that extensions put before it."""
    textures = document.items("textures")
    index = texture.get("index")
    if not isinstance(index, int) or not 0 <= index < len(textures):
        document.problem(location, f"it names texture {index!r}, of {len(textures)}")
        return ()
    entry = textures[index]
    sources = [entry.get("source")] + [
        as_dict(as_dict(entry.get("extensions")).get(name)).get("source") for name in _IMAGE_SOURCES
    ]
    named = [s for s in sources if s is not None] or [None]
    found = [s for s in named if isinstance(s, int) and 0 <= s < count]
    for source in (s for s in named if s not in found):
        document.problem(location, f"texture {index} names image {source!r}, of {count}")
    return tuple(dict.fromkeys(found))


def _is_table(value: object) -> TypeGuard[list[list[object]]]:
    return isinstance(value, list) and all(isinstance(row, list) for row in value)
