"""The two containers of glTF 2.0: plain JSON (``.gltf``) and binary (``.glb``, section 4)."""

from __future__ import annotations

import struct

from primecoat.errors import InputError

_MAGIC = b"glTF"
_JSON_CHUNK = 0x4E4F534A


def split(data: bytes, name: str) -> tuple[str, bytes]:
    """Return the JSON text and the binary chunk of a ``.gltf`` or ``.glb``."""
    binary = b""
    if data[:4] == _MAGIC:
        if len(data) < 20:
            raise InputError(
                f"Cannot read {name}: the GLB file ends too early.", "Export it again."
            )
        length, kind = struct.unpack_from("<II", data, 12)
        if kind != _JSON_CHUNK or 20 + length > len(data):
            raise InputError(f"Cannot read {name}: the GLB file is damaged.", "Export it again.")
        json_bytes = data[20 : 20 + length]
        at = 20 + length
        if at + 8 <= len(data):
            binary = data[at + 8 : at + 8 + struct.unpack_from("<I", data, at)[0]]
    else:
        json_bytes = data
    try:
        return json_bytes.decode("utf-8-sig" if data[:4] != _MAGIC else "utf-8"), binary
    except UnicodeDecodeError as error:
        raise InputError(
            f"Cannot read {name}: it is not UTF-8 text.", "Give a glTF file."
        ) from error


def join(data: bytes, text: str) -> bytes:
    """Return the file whose JSON text is replaced."""
    encoded = text.encode()
    if data[:4] != _MAGIC:
        return (b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b"") + encoded
    encoded = encoded.rstrip(b" ")
    encoded += b" " * (-len(encoded) % 4)
    (old,) = struct.unpack_from("<I", data, 12)
    rest = data[20 + old :]
    version = data[4:8]
    total = struct.pack("<I", 20 + len(encoded) + len(rest))
    return _MAGIC + version + total + struct.pack("<II", len(encoded), _JSON_CHUNK) + encoded + rest
