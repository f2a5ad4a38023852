"""Put the demo's files into a folder, never over another file."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path

from primecoat.errors import UseError


def refuse_changed_files(folder: Path, files: Mapping[str, bytes]) -> None:
    """Refuse a folder in which a file of the demo is there with other bytes."""
    for name, content in files.items():
        there = folder / name
        if there.exists() and there.read_bytes() != content:
            raise UseError(
                f"{there} is not as the demo writes it; nothing was changed.",
                "Keep your changes and name another folder, or remove this one first.",
            )


def put(source: Path, target: Path) -> Path:
    """Copy a file to its place unless it is there; never over another."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.exists():
            shutil.copyfile(source, target)
    except OSError as error:
        raise UseError(
            f"Cannot write {target}: {error.strerror}.", "Name a folder you may write to."
        ) from error
    return target
