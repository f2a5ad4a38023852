"""Small scenes for the tests of plan and apply: real files, a few pixels each."""

from __future__ import annotations

import base64
import csv
import io
import json
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

import numpy as np
from PIL import Image

from primecoat import workflow
from primecoat.plan.operations import Operation, as_document
from primecoat.plan.plan import Plan

SRGB, DATA, AP1 = "srgb_rec709_scene", "data", "lin_ap1_scene"

_PBR = "pbrMetallicRoughness"
_SLOTS = {
    "base_color": (_PBR, "baseColorTexture"),
    "metal": (_PBR, "metallicRoughnessTexture"),
    "normal": ("normalTexture",),
    "occlusion": ("occlusionTexture",),
    "emissive": ("emissiveTexture",),
}


def png(seed: int = 0) -> bytes:
    """Return a PNG of random colours that says nothing of its colour."""
    codes = np.random.default_rng(seed).integers(0, 256, (6, 5, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "PNG")
    return out.getvalue()


def pictures(folder: Path, *names: str) -> None:
    """Write a picture of its own under each name."""
    for seed, name in enumerate(names):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(png(seed))


def materials(slots: Sequence[tuple[str, int]], names: Sequence[str] = ()) -> list[Any]:
    """Return glTF materials, one for each slot and texture."""
    made = []
    for number, (slot, texture) in enumerate(slots):
        material: dict[str, Any] = {
            "name": names[number] if number < len(names) else f"glaze {number}"
        }
        place = material
        for part in _SLOTS[slot][:-1]:
            place = place.setdefault(part, {})
        place[_SLOTS[slot][-1]] = {"index": texture}
        made.append(material)
    return made


def gltf(path: Path, *uses: tuple[str, str], unused: Sequence[str] = ()) -> Path:
    """Write a glTF whose images are named by uri and used in a slot; ``unused`` ones by nothing."""
    images = [{"uri": uri} for uri in (*(uri for uri, _ in uses), *unused)]
    document = {
        "asset": {"version": "2.0"},
        "images": images,
        "textures": [{"source": n} for n in range(len(images))],
        "materials": materials([(slot, n) for n, (_, slot) in enumerate(uses)]),
    }
    path.write_text(json.dumps(document, indent=1), encoding="utf-8")
    return path


def data_uri(content: bytes) -> str:
    """Return a PNG as a data URI."""
    return "data:image/png;base64," + base64.b64encode(content).decode()


def glb(path: Path, *embedded: tuple[bytes, str], owners: Sequence[str] = ()) -> Path:
    """Write a GLB that holds pictures, each used in a slot. Source: glTF 2.0, section 4.4."""
    views, body = [], b""
    for content, _ in embedded:
        views.append({"buffer": 0, "byteOffset": len(body), "byteLength": len(content)})
        body += content + bytes(-len(content) % 4)
    count = range(len(embedded))
    document = {
        "asset": {"version": "2.0"},
        "buffers": [{"byteLength": len(body)}],
        "bufferViews": views,
        "images": [{"bufferView": n, "mimeType": "image/png"} for n in count],
        "textures": [{"source": n} for n in count],
        "materials": materials([(embedded[n][1], n) for n in count], owners),
    }
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
    chunks += struct.pack("<II", len(body), 0x004E4942) + body
    path.write_bytes(b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks)
    return path


def sheet(path: Path, *rows: str, head: str = "path,owner,slot,channels,space,value") -> Path:
    """Write a scene sheet."""
    path.write_text("\n".join((head, *rows)) + "\n", encoding="utf-8")
    return path


def cells(path: Path) -> list[dict[str, str]]:
    """Return the rows of a sheet, read by Python's own reader."""
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def uris(path: Path) -> list[str]:
    """Return what the images of a glTF or GLB name, as written; empty for embedded ones."""
    data = path.read_bytes()
    if data[:4] == b"glTF":
        (length,) = struct.unpack_from("<I", data, 12)
        data = data[20 : 20 + length]
    return [image.get("uri", "") for image in json.loads(data)["images"]]


def plan(target: Path, route: str = "tag", *, roots: Sequence[Path] = (), **options: Any) -> Plan:
    """Survey a target, with every hash verified, and plan for it."""
    found = workflow.survey(target, roots=roots, verify=True, workers=1)
    return workflow.plan(found, route, **options)


def told(operations: Sequence[Operation]) -> list[tuple[str, str, str]]:
    """Return kind, source and target of operations."""
    found = [as_document(operation) for operation in operations]
    return [(d["do"], d.get("source", d.get("place", "")), d["target"]) for d in found]


def targets(made: Plan) -> list[str]:
    """Return the names that a plan would make or write."""
    return [operation.target for operation in made.operations]


def codes(made: Plan) -> list[str]:
    """Return the codes of a plan's findings."""
    return [finding.code for finding in made.findings]


def held(made: Plan) -> list[str]:
    """Return what a plan holds back."""
    return [entry.where for entry in made.held]


def content(folder: Path) -> dict[str, bytes | str]:
    """Return every file under a folder by its relative path, but for the state folders."""
    return {
        path.relative_to(folder).as_posix(): str(path.readlink())
        if path.is_symlink()
        else path.read_bytes()
        for path in folder.rglob("*")
        if (path.is_symlink() or path.is_file()) and ".primecoat" not in path.parts
    }


def times(folder: Path) -> dict[str, int]:
    """Return when every file under a folder was changed, but for the state folders."""
    return {name: (folder / name).lstat().st_mtime_ns for name in content(folder)}


def spelled(name: str) -> str:
    """Return a name as a URI has it, everything encoded that can be."""
    return quote(name, safe="")
