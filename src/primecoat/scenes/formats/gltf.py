"""glTF 2.0 (``.gltf``, ``.glb``): core and KHR material textures, factors, punctual lights.

Source: Khronos Group, *glTF 2.0 Specification*, 3.9 (materials), 3.8.3 (images), 4 (GLB), and the
ratified KHR_materials_* extensions. The standard fixes the encoding of every texture slot, and
its factors are linear with Rec.709 primaries.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from urllib.parse import quote

from primecoat.documents import parse_json
from primecoat.errors import InputError, RefusedError
from primecoat.scenes.gltf_buffers import Buffers
from primecoat.scenes.gltf_colours import colours, lights
from primecoat.scenes.gltf_container import join, split
from primecoat.scenes.gltf_document import GltfDocument
from primecoat.scenes.gltf_images import STANDARD as STANDARD
from primecoat.scenes.gltf_images import mark, references, uses
from primecoat.scenes.json_span import member_spans
from primecoat.scenes.model import Edit, Scene

SUFFIXES = (".gltf", ".glb")
CHANGED_SUFFIX = ""
DECLARES = False
WHY_NOT = (
    "glTF 2.0 fixes the encoding of every texture slot and has no place for a colour space; "
    "a picture in another space would be read wrongly by every glTF reader"
)


def read(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a glTF scene; see :class:`primecoat.scenes.format.SceneFormat`."""
    document = opened(path, name)
    buffers = Buffers(document)
    named = tuple(references(document, buffers))
    taken = tuple(uses(document, len(named)))
    return Scene(
        path=path,
        name=name,
        format="gltf",
        references=named,
        uses=taken,
        colours=tuple(colours(document, buffers)),
        lights=tuple(lights(document)),
        problems=tuple(document.problems),
    )


def opened(path: Path, name: str) -> GltfDocument:
    """Return the parsed document of a scene file.

    Raises
    ------
    InputError
        If it is no glTF.
    """
    text, binary = split(_bytes(path), name)
    root = parse_json(text, name)
    if not isinstance(root, dict) or not isinstance(root.get("asset"), dict):
        raise InputError(
            f"Cannot read {name}: it is JSON but no glTF (it has no 'asset').",
            "Give a scene file.",
        )
    return GltfDocument(name=name, folder=path.parent, root=root, binary=binary)


def claims(path: Path) -> bool:
    """Return True: these endings mean nothing else."""
    return path.suffix.lower() in SUFFIXES


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the scene with edits made; see ``SceneFormat.changed``."""
    return edit(source.read_bytes(), edits)


def edit(data: bytes, edits: Sequence[Edit]) -> bytes:
    """Return the scene's bytes with edits made; see ``SceneFormat.changed``.

    ``/images/N/uri`` gets another uri. ``/images/N/bufferView`` becomes a uri: the picture that
    stood inside is then a file of its own (the bytes inside stay, unused).
    """
    text, _ = split(data, "the scene")
    changes = []
    spans = member_spans(text, [change.place for change in edits])
    for change, (key, start, end) in zip(edits, spans, strict=True):
        found = mark(str(json.loads(text[start:end])))
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
            raise RefusedError(
                f"The glTF scene cannot be edited at {change.place}: only a picture's uri or "
                "bufferView can be.",
                "Make a new plan; one that was written by hand can hold no other edits.",
            )
    for start, end, new in sorted(changes, reverse=True):
        text = text[:start] + new + text[end:]
    return join(data, text)


def switch_edits(
    path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
) -> tuple[Edit, ...]:
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
