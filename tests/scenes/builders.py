"""Small scene files and pictures, put together by hand."""

from __future__ import annotations

import json
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.location import Location
from primecoat.scenes.folders import Folders
from primecoat.scenes.resolve import Resolved, resolve

BASE_COLOUR = {"pbrMetallicRoughness": {"baseColorTexture": {"index": 0}}}
"""A material whose base colour is texture 0."""


def chunk(kind: bytes, body: bytes) -> bytes:
    """Return a PNG chunk."""
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png_of(pixels: NDArray[Any], *chunks: bytes) -> bytes:
    """Return a PNG of integer pixels, shape (height, width, channels), with chunks before them."""
    height, width, channels = pixels.shape
    depth = 8 * pixels.itemsize
    kind = {1: 0, 2: 4, 3: 2, 4: 6}[channels]
    rows = pixels.astype(f">u{pixels.itemsize}").reshape(height, -1)
    body = b"".join(b"\0" + row.tobytes() for row in rows)
    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            chunk(b"IHDR", head),
            *chunks,
            chunk(b"IDAT", zlib.compress(body)),
            chunk(b"IEND", b""),
        )
    )


def colour_pixels(channels: int = 3, dtype: str = "uint8", size: int = 16) -> NDArray[Any]:
    """Return shaded colour: the channels differ and move together."""
    most = np.iinfo(dtype).max
    light = np.linspace(0.2, 1.0, size * size).reshape(size, size, 1)
    colour = light * np.array([0.9, 0.5, 0.3, 1.0])[:channels]
    return np.asarray(np.rint(colour * most), dtype=dtype)


def normal_pixels(size: int = 64) -> NDArray[Any]:
    """Return a sound normal map of ripples, 8 bits."""
    y, x = np.mgrid[0:size, 0:size] * (2 * np.pi / size)
    slope_x, slope_y = 0.5 * np.cos(3 * x), 0.4 * np.sin(2 * y + x)
    vectors = np.dstack([-slope_x, -slope_y, np.ones_like(slope_x)])
    vectors /= np.linalg.norm(vectors, axis=2, keepdims=True)
    return np.asarray(np.rint((vectors / 2 + 0.5) * 255), dtype="uint8")


def png(channels: int = 3, dtype: str = "uint8", *chunks: bytes) -> bytes:
    """Return a small PNG of shaded colour."""
    return png_of(colour_pixels(channels, dtype), *chunks)


def gltf(
    images: list[dict[str, Any]],
    materials: list[dict[str, Any]] | None = None,
    textures: list[dict[str, Any]] | None = None,
    **more: Any,
) -> dict[str, Any]:
    """Return a glTF document; by default texture N is image N and one material uses texture 0."""
    return {
        "asset": {"version": "2.0"},
        "images": images,
        "textures": [{"source": n} for n in range(len(images))] if textures is None else textures,
        "materials": [{"name": "glaze"} | BASE_COLOUR] if materials is None else materials,
        **more,
    }


def write_gltf(path: Path, document: Any) -> Path:
    """Write a glTF document as text."""
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def glb(document: Any, binary: bytes = b"") -> bytes:
    """Return a binary glTF (glTF 2.0, section 4.4) of a document and a buffer."""
    text = json.dumps(document).encode()
    text += b" " * (-len(text) % 4)
    chunks = struct.pack("<II", len(text), 0x4E4F534A) + text
    if binary:
        padded = binary + bytes(-len(binary) % 4)
        chunks += struct.pack("<II", len(padded), 0x004E4942) + padded
    return b"glTF" + struct.pack("<II", 2, 12 + len(chunks)) + chunks


def glb_with_images(*pictures: bytes, **more: Any) -> bytes:
    """Return a binary glTF that holds some PNG pictures in its buffer."""
    views, at = [], 0
    for picture in pictures:
        views.append({"buffer": 0, "byteOffset": at, "byteLength": len(picture)})
        at += len(picture)
    images = [{"bufferView": n, "mimeType": "image/png"} for n in range(len(pictures))]
    document = gltf(images, bufferViews=views, buffers=[{"byteLength": at}], **more)
    return glb(document, b"".join(pictures))


def found_for(text: str, anchor: Path, *roots: Path) -> Resolved:
    """Resolve one reference of a scene in a folder."""
    return resolve(
        text, anchor, roots or (anchor,), "image", Location("s.gltf", "/images/0"), Folders()
    )
