"""The bytes that a glTF file holds or names: buffers, views of them and data URIs.

Source: Khronos Group, *glTF 2.0 Specification*, 3.6.1 (buffers and views), 4.4 (GLB).
"""

from __future__ import annotations

import base64
from urllib.parse import unquote

from primecoat.location import Location
from primecoat.scenes.gltf_document import GltfDocument


class Buffers:
    """The buffers of a document, each file read once; nothing outside its folder is opened."""

    def __init__(self, document: GltfDocument) -> None:
        self._document = document
        self._files: dict[str, bytes] = {}

    def view(self, index: object, location: Location) -> bytes:
        """Return the bytes of a buffer view that holds an image; empty if there are none."""
        views = self._document.items("bufferViews")
        if not isinstance(index, int) or not 0 <= index < len(views):
            self._document.problem(
                location, "the image has neither a uri nor a buffer view that exists"
            )
            return b""
        view = views[index]
        start, length = view.get("byteOffset", 0), view.get("byteLength", 0)
        content = self.buffer(view.get("buffer"), location)
        if not (isinstance(start, int) and isinstance(length, int)) or min(start, length) < 0:
            self._document.problem(
                location, f"its buffer view {index} has no sound offset and length"
            )
            return b""
        if content and start + length > len(content):
            self._document.problem(
                location,
                f"its buffer view {index} ends at byte {start + length} of a buffer of "
                f"{len(content)}: the file is cut short",
            )
        return content[start : start + length]

    def buffer(self, index: object, location: Location) -> bytes:
        """Return the bytes of a buffer; empty if they cannot be had."""
        buffers = self._document.items("buffers")
        if not isinstance(index, int) or not 0 <= index < len(buffers):
            self._document.problem(location, f"it names buffer {index!r}, of {len(buffers)}")
            return b""
        uri = buffers[index].get("uri")
        if uri is None:
            if not self._document.binary:
                self._document.problem(location, f"it names buffer {index}, which holds nothing")
            return self._document.binary
        if isinstance(uri, str) and uri.startswith("data:"):
            return self.data_uri(uri, location)[1]
        if str(uri) not in self._files:
            self._files[str(uri)] = self._buffer_file(str(uri), location)
        return self._files[str(uri)]

    def _buffer_file(self, uri: str, location: Location) -> bytes:
        try:
            target = (self._document.folder / unquote(uri)).resolve()
            if not target.is_relative_to(self._document.folder.resolve()):
                self._document.problem(
                    location, f"its buffer {uri!r} lies outside the scene's folder"
                )
                return b""
            return target.read_bytes()
        except (OSError, ValueError, RuntimeError) as error:
            reason = getattr(error, "strerror", None) or error
            self._document.problem(location, f"its buffer {uri!r} cannot be read: {reason}")
            return b""

    def data_uri(self, uri: str, location: Location) -> tuple[str, bytes]:
        """Return media type and content of a base64 data URI."""
        head, _, body = uri.partition(",")
        try:
            content = base64.b64decode(body, validate=True) if head.endswith(";base64") else b""
        except ValueError:
            content = b""
        if not content:
            self._document.problem(location, "its data URI holds no base64 picture")
        return head[len("data:") :].split(";")[0], content
