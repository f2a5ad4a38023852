"""glTF 2.0 (``.gltf``, ``.glb``): core and KHR material textures, factors, punctual lights.

Source: Khronos Group, *glTF 2.0 Specification*, 3.9 (materials), 3.8.3 (images), 4 (GLB), and the
ratified KHR_materials_* extensions. The standard fixes the encoding of every texture slot, and
its factors are linear with Rec.709 primaries.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path
from typing import Any, TypeGuard
from urllib.parse import quote, unquote

import numpy as np
from numpy.typing import NDArray

from primecoat.documents import parse_json
from primecoat.errors import InputError, RefusedError
from primecoat.files import sha256_of_bytes
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.gltf_accessor import colour_rows
from primecoat.scenes.gltf_container import join, split
from primecoat.scenes.gltf_slots import FACTORS, SLOTS
from primecoat.scenes.json_span import member_spans
from primecoat.scenes.model import (
    COLOUR_SLOTS,
    LARGEST,
    ColourValue,
    Edit,
    ImageReference,
    ImageUse,
    Scene,
)

SUFFIXES = (".gltf", ".glb")
STANDARD = "glTF 2.0"
DECLARES = False
WHY_NOT = (
    "glTF 2.0 fixes the encoding of every texture slot and has no place for a colour space; "
    "a picture in another space would be read wrongly by every glTF reader"
)

_FACTOR_SPACE = "lin_rec709_scene"
_TEXTURE_SPACE = "srgb_rec709_scene"


_IMAGE_SOURCES = ("KHR_texture_basisu", "EXT_texture_webp")
"""Texture extensions whose ``source`` stands beside or instead of the core one."""


def read(path: Path, name: str) -> Scene:
    """Read a glTF scene; see :class:`primecoat.scenes.format.SceneFormat`."""
    text, binary = split(_bytes(path), name)
    root = parse_json(text, name)
    if not isinstance(root, dict) or not isinstance(root.get("asset"), dict):
        raise InputError(
            f"Cannot read {name}: it is JSON but no glTF (it has no 'asset').",
            "Give a scene file.",
        )
    reader = _Reader(name, path.parent, root, binary)
    references = tuple(reader.references())
    uses = tuple(reader.uses(len(references)))
    return Scene(
        path=path,
        name=name,
        format="gltf",
        references=references,
        uses=uses,
        colours=tuple(reader.colours()),
        lights=tuple(reader.lights()),
        problems=tuple(reader.problems),
    )


def claims(path: Path) -> bool:
    """Return True: these endings mean nothing else."""
    return path.suffix.lower() in SUFFIXES


class _Reader:
    """One walk over a parsed glTF; collects problems as it goes."""

    def __init__(self, name: str, folder: Path, root: dict[str, Any], binary: bytes) -> None:
        self.name = name
        self.folder = folder
        self.root = root
        self.binary = binary
        self.problems: list[Finding] = []
        self.buffers: dict[str, bytes] = {}

    def references(self) -> Iterator[ImageReference]:
        for index, image in enumerate(self._list("images")):
            uri = image.get("uri")
            if isinstance(uri, str):
                location = Location(self.name, f"/images/{index}/uri")
                if uri.startswith("data:"):
                    media_type, content = self._data_uri(uri, location)
                    yield ImageReference(
                        text="",
                        location=location,
                        written=_mark(uri),
                        embedded=content,
                        media_type=media_type,
                    )
                else:
                    yield ImageReference(text=unquote(uri), location=location, written=uri)
                continue
            location = Location(self.name, f"/images/{index}/bufferView")
            content = self._view(image.get("bufferView"), location)
            yield ImageReference(
                text="",
                location=location,
                written=str(image.get("bufferView")),
                embedded=content,
                media_type=str(image.get("mimeType", "")),
            )

    def uses(self, count: int) -> Iterator[ImageUse]:
        for index, material in enumerate(self._list("materials")):
            owner = str(material.get("name", f"material {index}"))
            cut_out = material.get("alphaMode", "OPAQUE") in ("MASK", "BLEND")
            for slot in SLOTS:
                pointer, texture = _lookup(material, slot.path, slot.extension)
                if not isinstance(texture, dict):
                    continue
                location = Location(self.name, f"/materials/{index}{pointer}")
                images = self._images_of(texture, location, count)
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
        yield from self._environments(count)

    def _environments(self, count: int) -> Iterator[ImageUse]:
        """Yield the cube faces of image-based lights: RGBD codes, so data."""
        for index, light in enumerate(self._extension_list("EXT_lights_image_based", "lights")):
            place = f"/extensions/EXT_lights_image_based/lights/{index}/specularImages"
            location = Location(self.name, place)
            levels = light.get("specularImages")
            faces = [f for level in levels for f in level] if _is_table(levels) else []
            if not faces:
                self._problem(location, "its light names no images")
            for face in dict.fromkeys(faces):
                if not isinstance(face, int) or not 0 <= face < count:
                    self._problem(location, f"it names image {face!r}, of {count}")
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

    def colours(self) -> Iterator[ColourValue]:
        for index, material in enumerate(self._list("materials")):
            owner = str(material.get("name", f"material {index}"))
            for path, slot, extension in FACTORS:
                pointer, value = _lookup(material, path, extension)
                location = Location(self.name, f"/materials/{index}{pointer}")
                yield from self._colour(value, location, owner, slot)
        yield from self._vertex_colours()

    def _vertex_colours(self) -> Iterator[ColourValue]:
        accessors, views = self._list("accessors"), self._list("bufferViews")
        for number, mesh in enumerate(self._list("meshes")):
            primitives = mesh.get("primitives")
            for part, primitive in enumerate(primitives if isinstance(primitives, list) else ()):
                index = _dict(_dict(primitive).get("attributes")).get("COLOR_0")
                if index is None:
                    continue
                place = f"/meshes/{number}/primitives/{part}/attributes/COLOR_0"
                location = Location(self.name, place)
                accessor = accessors[index] if _within(index, accessors) else {}
                view_index = accessor.get("bufferView")
                view = views[view_index] if _within(view_index, views) else {}
                buffer = self._buffer(view.get("buffer"), location) if view else b""
                rows = colour_rows(accessor, view, buffer)
                if rows is None:
                    self._problem(location, "its vertex colours cannot be read")
                    continue
                yield _many(rows, location, str(mesh.get("name", f"mesh {number}")), "base_color")

    def lights(self) -> Iterator[ColourValue]:
        for index, light in enumerate(self._extension_list("KHR_lights_punctual", "lights")):
            place = f"/extensions/KHR_lights_punctual/lights/{index}/color"
            owner = str(light.get("name", f"light {index}"))
            value = light.get("color", [1.0, 1.0, 1.0])
            yield from self._colour(value, Location(self.name, place), owner, "light_color")
        yield from self._harmonics()

    def _harmonics(self) -> Iterator[ColourValue]:
        """Yield the irradiance of image-based lights: nine linear RGB coefficients each."""
        for index, light in enumerate(self._extension_list("EXT_lights_image_based", "lights")):
            place = f"/extensions/EXT_lights_image_based/lights/{index}/irradianceCoefficients"
            rows = light.get("irradianceCoefficients")
            if rows is None:
                continue
            location = Location(self.name, place)
            colours = [row for row in rows if _is_colour(row)] if isinstance(rows, list) else []
            if not colours or not isinstance(rows, list) or len(colours) < len(rows):
                self._problem(location, "rows of three numbers are needed")
                continue
            owner = str(light.get("name", f"image-based light {index}"))
            yield _many(
                np.array([row[:3] for row in colours], float), location, owner, "light_color"
            )

    def _colour(
        self, value: object, location: Location, owner: str, slot: str
    ) -> Iterator[ColourValue]:
        if value is None:
            return
        if not _is_colour(value):
            self._problem(location, f"a colour of 3 or 4 numbers is needed, found {value!r:.60}")
            return
        yield ColourValue(
            location=location,
            owner=owner,
            slot=slot,
            value=(float(value[0]), float(value[1]), float(value[2])),
            fixed=_FACTOR_SPACE,
        )

    def _images_of(
        self, texture: dict[str, Any], location: Location, count: int
    ) -> tuple[int, ...]:
        """Return the images of a texture: the core one and those that extensions put before it."""
        textures = self._list("textures")
        index = texture.get("index")
        if not isinstance(index, int) or not 0 <= index < len(textures):
            self._problem(location, f"it names texture {index!r}, of {len(textures)}")
            return ()
        entry = textures[index]
        sources = [entry.get("source")] + [
            _dict(_dict(entry.get("extensions")).get(name)).get("source") for name in _IMAGE_SOURCES
        ]
        named = [s for s in sources if s is not None] or [None]
        found = [s for s in named if isinstance(s, int) and 0 <= s < count]
        for source in (s for s in named if s not in found):
            self._problem(location, f"texture {index} names image {source!r}, of {count}")
        return tuple(dict.fromkeys(found))

    def _view(self, index: object, location: Location) -> bytes:
        views = self._list("bufferViews")
        if not isinstance(index, int) or not 0 <= index < len(views):
            self._problem(location, "the image has neither a uri nor a buffer view that exists")
            return b""
        view = views[index]
        start, length = view.get("byteOffset", 0), view.get("byteLength", 0)
        content = self._buffer(view.get("buffer"), location)
        if not (isinstance(start, int) and isinstance(length, int)) or min(start, length) < 0:
            self._problem(location, f"its buffer view {index} has no sound offset and length")
            return b""
        if content and start + length > len(content):
            self._problem(
                location,
                f"its buffer view {index} ends at byte {start + length} of a buffer of "
                f"{len(content)}: the file is cut short",
            )
        return content[start : start + length]

    def _buffer(self, index: object, location: Location) -> bytes:
        buffers = self._list("buffers")
        if not isinstance(index, int) or not 0 <= index < len(buffers):
            self._problem(location, f"it names buffer {index!r}, of {len(buffers)}")
            return b""
        uri = buffers[index].get("uri")
        if uri is None:
            if not self.binary:
                self._problem(location, f"it names buffer {index}, which holds nothing")
            return self.binary
        if isinstance(uri, str) and uri.startswith("data:"):
            return self._data_uri(uri, location)[1]
        if str(uri) not in self.buffers:
            self.buffers[str(uri)] = self._buffer_file(str(uri), location)
        return self.buffers[str(uri)]

    def _buffer_file(self, uri: str, location: Location) -> bytes:
        try:
            target = (self.folder / unquote(uri)).resolve()
            if not target.is_relative_to(self.folder.resolve()):
                self._problem(location, f"its buffer {uri!r} lies outside the scene's folder")
                return b""
            return target.read_bytes()
        except (OSError, ValueError, RuntimeError) as error:
            reason = getattr(error, "strerror", None) or error
            self._problem(location, f"its buffer {uri!r} cannot be read: {reason}")
            return b""

    def _data_uri(self, uri: str, location: Location) -> tuple[str, bytes]:
        head, _, body = uri.partition(",")
        try:
            content = base64.b64decode(body, validate=True) if head.endswith(";base64") else b""
        except ValueError:
            content = b""
        if not content:
            self._problem(location, "its data URI holds no base64 picture")
        return head[len("data:") :].split(";")[0], content

    def _problem(self, location: Location, words: str) -> None:
        self.problems.append(
            finding(
                "reference_in_scene_is_broken",
                self.name,
                f"At {location.place}: {words}.",
                "Export the scene again, or mend this place.",
                location,
            )
        )

    def _extension_list(self, extension: str, key: str) -> list[dict[str, Any]]:
        found = _dict(_dict(self.root.get("extensions")).get(extension)).get(key)
        return [_dict(item) for item in found] if isinstance(found, list) else []

    def _list(self, key: str) -> list[dict[str, Any]]:
        found = self.root.get(key)
        return [_dict(item) for item in found] if isinstance(found, list) else []


def edit(data: bytes, edits: Sequence[Edit]) -> bytes:
    """Return the scene's bytes with edits made; see ``SceneFormat.edit``.

    ``/images/N/uri`` gets another uri. ``/images/N/bufferView`` becomes a uri: the picture that
    stood inside is then a file of its own (the bytes inside stay, unused).
    """
    text, _ = split(data, "the scene")
    changes = []
    spans = member_spans(text, [change.place for change in edits])
    for change, (key, start, end) in zip(edits, spans, strict=True):
        found = _mark(str(json.loads(text[start:end])))
        if found != change.before:
            raise RefusedError(
                f"At {change.place} the scene says {found[:80]!r}, "
                f"but {change.before[:80]!r} was planned for.",
                "The scene has changed: make a new plan.",
            )
        uri = change.after
        if change.place.endswith("/uri"):
            changes.append((start, end, json.dumps(uri)))
        elif change.place.endswith("/bufferView"):
            changes.append((key, end, f'"uri": {json.dumps(uri)}'))
        else:
            raise RefusedError(f"A glTF scene cannot be edited at {change.place}.")
    for start, end, new in sorted(changes, reverse=True):
        text = text[:start] + new + text[end:]
    return join(data, text)


def _mark(written: str) -> str:
    """Return what stands for a reference in a plan: a data URI by its hash, for it can be huge."""
    if not written.startswith("data:"):
        return written
    return f"data:sha256,{sha256_of_bytes(written.encode())}"


def switch_edits(path: Path, name: str, to_space: str) -> tuple[Edit, ...]:
    """Return no edits: glTF names no working space; its numbers are linear Rec.709."""
    return ()


def space_name(reading: str) -> str:
    """Return no name: glTF has no place for one."""
    return ""


def colour_text(written: str, colours: Sequence[tuple[float, float, float]]) -> str:
    """Return the text as it stands: the factors of a glTF scene are not rewritten."""
    return written


def reference_text(relative_path: str) -> str:
    """Return a relative path as it is written in this format: percent-encoded.

    Examples
    --------
    >>> reference_text("textures/tea pot.png")
    'textures/tea%20pot.png'
    """
    return quote(relative_path, safe="/-_.~!$&'()*+,;=:@")


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise InputError(
            f"Cannot read {path}: {error.strerror}.", "Check the name and its rights."
        ) from error


def _lookup(material: dict[str, Any], path: tuple[str, ...], extension: str) -> tuple[str, Any]:
    """Return pointer (inside the material) and value of a path, inside an extension or not."""
    full = ("extensions", extension, *path) if extension else path
    value: Any = material
    for part in full:
        value = _dict(value).get(part)
    return "/" + "/".join(full), value


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


def _is_table(value: object) -> TypeGuard[list[list[object]]]:
    return isinstance(value, list) and all(isinstance(row, list) for row in value)


def _within(index: object, items: Sequence[object]) -> TypeGuard[int]:
    return isinstance(index, int) and 0 <= index < len(items)


def _dict(value: object) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}
