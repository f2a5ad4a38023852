"""Baked pictures that have not got their place in the scene yet, each whole or not there.

An entry is a folder named by a key that stands for everything the result depends on. It is filled
under a temporary name, synced, and renamed in one step. The temporary name tells which process of
which host is at work, so that what a killed one leaves is known and swept away.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import re
import shutil
import socket
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from primecoat.bake.stored_numbers import Tally
from primecoat.colour.ocio import conversion_id, view_id
from primecoat.colour.ocio import library_version as ocio_version
from primecoat.documents import dumps, load_state
from primecoat.errors import InputError
from primecoat.files import (
    ASIDE_PREFIX,
    ASIDE_SUFFIX,
    replace_bytes,
    sha256_of,
    sha256_of_bytes,
    state_folder,
    sync_file,
    sync_folder,
)
from primecoat.images.oiio import library_version as oiio_version
from primecoat.plan.operations import BakeImage, as_document
from primecoat.plan.recipe import storage_from_text
from primecoat.processes import process_is_alive
from primecoat.version import __version__

KIND = "primecoat.stored-bake/1"

_FOLDER, _PICTURE, _RECORD = "baked", "picture", "record.json"
_UNFINISHED = re.compile(
    rf"{re.escape(ASIDE_PREFIX)}(?P<host>.+)-(?P<pid>\d+)-[0-9a-f]{{32}}{re.escape(ASIDE_SUFFIX)}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredBake:
    """A finished bake in the store.

    Parameters
    ----------
    picture
        The finished file.
    sha256
        Hash of its bytes.
    figures
        What the bake came to: ``number``, the type that colour is stored as, and the counts of
        :class:`primecoat.bake.stored_numbers.Tally`. The same on every engine.
    seconds
        How long it took.
    """

    picture: Path
    sha256: str
    figures: dict[str, Any] = field(default_factory=dict)
    seconds: float = 0.0


def store_of(home: Path) -> Path:
    """Return the store of the scenes in a folder."""
    return state_folder(home) / _FOLDER


def key_of(operation: BakeImage) -> str:
    """Return the name of the entry that an operation's result has.

    It is a hash over the operation (the content of its source among it), over the conversion as
    the config defines it, and over the versions of what makes the result.

    Raises
    ------
    InputError, UseError
        If the config cannot be loaded or lacks one of the spaces.
    """
    against = operation.against
    readings = {operation.reading, *(layer.reading for layer in operation.layers)}
    depends_on = {
        "operation": as_document(operation),
        "conversions": [
            conversion_id(reading, operation.to_space, operation.config)
            for reading in sorted(readings - {"data"})
        ],
        "view": view_id(*against, operation.to_space, operation.config) if against else "",
        "versions": [__version__, ocio_version(), oiio_version()],
    }
    return sha256_of_bytes(json.dumps(depends_on, sort_keys=True).encode())


def find(store: Path, operation: BakeImage, key: str) -> StoredBake | None:
    """Return the finished bake of an operation, its bytes verified; one that is damaged goes."""
    entry = store / key
    if not entry.is_dir():
        return None
    stored = _stored(entry, operation)
    if stored is None:
        discard(store, [key])
    return stored


def _stored(entry: Path, operation: BakeImage) -> StoredBake | None:
    picture = entry / f"{_PICTURE}{storage_from_text(operation.storage).ending}"
    if picture.is_symlink() or not picture.is_file():
        return None
    try:
        record = load_state(entry / _RECORD, KIND) or {}
        stored = StoredBake(
            picture=picture,
            sha256=str(record["sha256"]),
            figures=_expect_figures(record["figures"]),
            seconds=float(record["seconds"]),
        )
        whole = math.isfinite(stored.seconds) and sha256_of(picture) == stored.sha256
        return stored if whole else None
    except (AttributeError, InputError, KeyError, OverflowError, TypeError, ValueError):
        return None


def _expect_figures(figures: dict[str, Any]) -> dict[str, Any]:
    """Return figures if they are such as a bake comes to: a store can come with a scene."""
    known = {"number": "", **asdict(Tally())}
    for name, value in figures.items():
        if isinstance(known[name], str):
            value.encode()  # half of a pair of UTF-16 cannot be told
        elif type(value) not in (int, float) or not abs(value) < 2**63:
            raise ValueError(name)
    if "number" not in figures:
        raise KeyError("number")
    return dict(figures)


@contextlib.contextmanager
def unfinished(store: Path, operation: BakeImage) -> Iterator[Path]:
    """Give a name for a picture in the making; what is left there at the end goes.

    Raises
    ------
    OSError
        If nothing can be written in the store.
    """
    with workroom(store) as folder:
        yield folder / f"{_PICTURE}{storage_from_text(operation.storage).ending}"


@contextlib.contextmanager
def workroom(store: Path) -> Iterator[Path]:
    """Give a folder for files in the making; what is left there at the end goes.

    What a killed process leaves there, :func:`sweep` removes.

    Raises
    ------
    OSError
        If nothing can be written in the store.
    """
    name = f"{socket.gethostname()}-{os.getpid()}-{uuid.uuid4().hex}"
    folder = store / f"{ASIDE_PREFIX}{name}{ASIDE_SUFFIX}"
    folder.mkdir()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def finish(
    store: Path, key: str, picture: Path, figures: dict[str, Any], seconds: float
) -> StoredBake:
    """Make a finished picture and its record an entry, in one step.

    Should another process have finished the same entry meanwhile, that one stays.
    """
    sync_file(picture)
    sha256, seconds = sha256_of(picture), round(seconds, 3)
    record = {"document": KIND, "sha256": sha256, "figures": figures, "seconds": seconds}
    replace_bytes(picture.parent / _RECORD, dumps(record).encode())
    entry = store / key
    with contextlib.suppress(FileExistsError):
        _rename_folder(picture.parent, entry)
    sync_folder(store)
    return StoredBake(picture=entry / picture.name, sha256=sha256, figures=figures, seconds=seconds)


def discard(store: Path, keys: Iterable[str]) -> None:
    """Remove entries that are no longer needed or are damaged, and the store if it is empty."""
    for key in keys:
        entry = store / key
        if not entry.exists():
            continue
        name = f"{socket.gethostname()}-{os.getpid()}-{uuid.uuid4().hex}"
        aside = store / f"{ASIDE_PREFIX}{name}{ASIDE_SUFFIX}"
        with contextlib.suppress(FileNotFoundError):  # another process was faster
            entry.rename(aside)
        shutil.rmtree(aside, ignore_errors=True)
    with contextlib.suppress(OSError):
        store.rmdir()


def sweep(store: Path) -> None:
    """Remove what processes of this host that are gone left unfinished."""
    for left in store.glob(f"{ASIDE_PREFIX}*{ASIDE_SUFFIX}"):
        found = _UNFINISHED.fullmatch(left.name)
        own = found and found["host"] == socket.gethostname()
        if found and own and not process_is_alive(int(found["pid"])):
            shutil.rmtree(left, ignore_errors=True)


def _rename_folder(source: Path, target: Path) -> None:
    """Rename a folder to a name that is free.

    Raises
    ------
    FileExistsError
        If the name is taken.
    """
    try:
        source.rename(target)
    except OSError as error:
        if target.is_dir():
            raise FileExistsError(error.errno, error.strerror, str(target)) from error
        raise
