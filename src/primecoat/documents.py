"""Versioned JSON documents: ``{"document": "primecoat.plan/1", ...}``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from primecoat.errors import InputError
from primecoat.limits import SCENE_BYTES, refuse_larger

Document = dict[str, Any]


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
