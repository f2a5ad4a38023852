"""What is known of each file that was handed over: made by which recipe, from what, its hash.

A record is written before its file gets its name. So a file without a record, or with other bytes
than its record says, is somebody else's, and stays.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from primecoat.documents import dumps, load_state
from primecoat.errors import InputError
from primecoat.files import replace_bytes, sha256_of, state_folder

KIND = "primecoat.handed-over/1"

_FOLDER = "handover"
_TEXTS = ("output", "sha256", "recipe", "master", "master_sha256", "replaces")


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """One file that was handed over.

    Parameters
    ----------
    output
        Its name.
    sha256
        Hash of its bytes.
    recipe
        Identity of the recipe.
    master, master_sha256
        Path of the master relative to the file's folder, ``/`` between names, and its hash.
    made_with
        Versions of what made it, by name.
    figures
        What was met and what reading it back showed.
    replaces
        Hash of the file whose place it took; empty if the place was free.
    """

    output: str
    sha256: str
    recipe: str
    master: str
    master_sha256: str
    made_with: dict[str, str] = field(default_factory=dict)
    figures: dict[str, Any] = field(default_factory=dict)
    replaces: str = ""


def store_of(folder: Path, *, create: bool = False) -> Path:
    """Return where the records of a folder's files lie."""
    store = state_folder(folder, create=create) / _FOLDER
    if create:
        store.mkdir(exist_ok=True)
    return store


def find(folder: Path, output: str) -> Record | None:
    """Return the record of a file; None if there is none or it cannot be understood."""
    try:
        held = load_state(store_of(folder) / f"{output}.json", KIND) or {}
        held.pop("document", None)
        record = Record(**held)
        texts = (getattr(record, name) for name in _TEXTS)
        return record if all(isinstance(text, str) for text in texts) else None
    except (InputError, TypeError):
        return None


def keep(folder: Path, record: Record) -> None:
    """Write a record, whole or not at all."""
    fields = {name: getattr(record, name) for name in record.__dataclass_fields__}
    replace_bytes(
        store_of(folder) / f"{record.output}.json", dumps({"document": KIND, **fields}).encode()
    )


def all_of(folder: Path, recipe: str) -> tuple[Record, ...]:
    """Return the records of one recipe whose files are there, by name."""
    found = []
    for path in sorted(store_of(folder).glob("*.json")):
        record = find(folder, path.stem)
        if record and record.recipe == recipe and (folder / record.output).is_file():
            found.append(record)
    return tuple(found)


def is_own(folder: Path, record: Record | None, output: str) -> bool:
    """Whether the file that stands under a name is the one that the record tells of."""
    return record is not None and sha256_of(folder / output) in (record.sha256, record.replaces)
