"""Versioned JSON documents: ``{"document": "primecoat.plan/1", ...}``."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from primecoat.errors import InputError
from primecoat.files import STATE_FOLDER
from primecoat.limits import SCENE_BYTES, refuse_larger

Document = dict[str, Any]

LONGEST_LINE = 2**20
"""Bytes; those that are written stay far below."""


def dumps(document: Mapping[str, Any]) -> str:
    r"""Return a document as JSON text that is the same for the same content.

    Examples
    --------
    >>> dumps({"document": "primecoat.plan/1", "operations": []})
    '{\n  "document": "primecoat.plan/1",\n  "operations": []\n}\n'
    """
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def load(path: Path, kind: str) -> Document:
    """Read a document and check its kind and version.

    Parameters
    ----------
    path
        The JSON file.
    kind
        Name and version asked for, for example ``primecoat.plan/1``.

    Raises
    ------
    InputError
        If the file is missing, is not JSON, or is another kind or version of document.
    """
    return parse(read_text(path), kind, str(path))


def read_text(path: Path) -> str:
    """Return a UTF-8 text file, with our own error if that fails or it is too large."""
    refuse_larger(path, str(path), SCENE_BYTES)
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise InputError(
            f"Cannot read {path}: {error.strerror}.", "Check the name and its rights."
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            f"Cannot read {path}: it is not UTF-8 text.", "Give a text file."
        ) from error


def read_state(path: Path) -> bytes | None:
    """Return a file of the state folder; None if there is none.

    Such a folder can come with a scene from anywhere, and so hold anything.

    Parameters
    ----------
    path
        The file; the state folder is its parent, or one above.

    Raises
    ------
    InputError
        If it is a link or lies behind one, is no ordinary file, or is too large or not readable.
    """
    if not os.path.lexists(path):
        return None
    _refuse_odd(path)
    refuse_larger(path, str(path), SCENE_BYTES)
    try:
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"Cannot read {path}: {error.strerror}.", "Check its rights.") from error


def state_lines(path: Path) -> Iterator[bytes]:
    """Yield the lines of a file of the state folder, one in memory at a time.

    Nothing comes of a file that is not there, nor after a line of :data:`LONGEST_LINE` or more.

    Raises
    ------
    InputError
        If it is a link or lies behind one, is no ordinary file, or is too large or not readable.
    """
    if not os.path.lexists(path):
        return
    _refuse_odd(path)
    refuse_larger(path, str(path), SCENE_BYTES, times=16)
    try:
        with path.open("rb") as file:
            while (line := file.readline(LONGEST_LINE)) and len(line) < LONGEST_LINE:
                yield line
    except OSError as error:
        raise InputError(f"Cannot read {path}: {error.strerror}.", "Check its rights.") from error


def _refuse_odd(path: Path) -> None:
    """Refuse a link, what lies behind one, and what is no ordinary file."""
    depth = next((n for n, one in enumerate(path.parents) if one.name == STATE_FOLDER), 0)
    for place in (path, *path.parents[: depth + 1]):
        if place.is_symlink():
            raise InputError(f"{place} is a link.", "Remove it: state lies beside its scene.")
    if not path.is_file():
        raise InputError(f"{path} is no ordinary file.", "Move it away: it is none of ours.")


def load_state(path: Path, kind: str) -> Document | None:
    """Read a document of the state folder, as :func:`load` does; None if there is none."""
    data = read_state(path)
    if data is None:
        return None
    try:
        return parse(data.decode("utf-8-sig"), kind, str(path))
    except UnicodeDecodeError as error:
        raise InputError(f"Cannot read {path}: it is not UTF-8 text.", "Move it away.") from error


def parse_json(text: str, name: str) -> Any:
    """Return parsed JSON; one clear error for every way that can fail."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(f"Cannot read {name}: it is not valid JSON ({error}).", "") from error


def parse(text: str, kind: str, name: str) -> Document:
    """Return the document in a JSON text; see :func:`load`."""
    document = parse_json(text, name)
    found = document.get("document") if isinstance(document, dict) else None
    if found != kind:
        raise InputError(
            f"{name} is not a {kind} document: it says {found!r}.",
            "Give the file that this version of primecoat wrote.",
        )
    return dict(document)
