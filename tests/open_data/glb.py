"""Pictures inside binary glTF files, and the slots that the file's materials put them in.

Source: glTF 2.0 (ISO/IEC 12113:2022), section 4.4, "GLB File Format Specification", and 3.9.
"""

from __future__ import annotations

import json
import re
import struct
from collections.abc import Iterator
from typing import Any

_SLOTS = {
    ("pbrMetallicRoughness", "baseColorTexture"): "base_color",
    ("pbrMetallicRoughness", "metallicRoughnessTexture"): "packed",
    ("normalTexture",): "normal",
    ("occlusionTexture",): "occlusion",
    ("emissiveTexture",): "emissive",
}


def glb_pictures(data: bytes) -> Iterator[tuple[str, bytes, frozenset[str]]]:
    """Yield for each picture ``index/name.ending``, its bytes and the slots that use it."""
    length = struct.unpack_from("<I", data, 12)[0]
    document = json.loads(data[20 : 20 + length])
    start = 20 + length + 8
    slots = _slots(document)
    for index, image in enumerate(document.get("images", ())):
        view = document["bufferViews"][image["bufferView"]]
        first = start + view.get("byteOffset", 0)
        picture = data[first : first + view["byteLength"]]
        ending = ".png" if picture.startswith(b"\x89PNG") else ".jpg"
        stem = re.sub(r"\.(jpg|png)$", "", image.get("name") or "image")
        name = re.sub(r"[^A-Za-z0-9_.-]", "_", stem) + ending
        yield f"{index}/{name}", picture, slots.get(index, frozenset())


def _slots(document: dict[str, Any]) -> dict[int, frozenset[str]]:
    found: dict[int, frozenset[str]] = {}
    for material in document.get("materials", ()):
        for path, slot in _SLOTS.items():
            value: Any = material
            for key in path:
                value = (value or {}).get(key)
            if value is not None:
                image = document["textures"][value["index"]]["source"]
                found[image] = found.get(image, frozenset()) | {slot}
    return found
