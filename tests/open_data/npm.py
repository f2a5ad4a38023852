"""Packages of the npm registry, fetched once by its client into a cache, pinned by hash."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tarfile
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import NoReturn

import pytest


@dataclass(frozen=True, slots=True)
class Package:
    """One package: what the client is asked for, the archive it gives, its SHA-256."""

    name: str
    archive: str
    sha256: str


def unpacked(package: Package, unpack: Callable[[tarfile.TarFile, Path], None]) -> Path:
    """Return the folder with a package's files; fetch and unpack it if the cache has none.

    Where the package cannot be had, the test is skipped, and fails in CI.

    Parameters
    ----------
    unpack
        Told the archive's members and the new folder to fill.
    """

    def fill(archive: Path, folder: Path) -> None:
        with tarfile.open(archive) as members:
            unpack(members, folder)

    return cached(package, _fetch, fill)


def cached(
    package: Package,
    fetch: Callable[[Package, Path], None],
    fill: Callable[[Path, Path], None],
) -> Path:
    """Return the folder with a package's files, from any registry.

    Parameters
    ----------
    fetch
        Puts the archive where it is told.
    fill
        Told the archive and the new folder to fill.
    """
    archive = cached_archive(package)
    place = archive.parent
    place.mkdir(parents=True, exist_ok=True)
    if not archive.exists():
        fetch(package, archive)
    found = _sha256(archive)
    assert found == package.sha256, f"{archive} is not the package that was pinned; remove it"
    folder = place / f"{package.sha256[:16]}-files"
    if not folder.exists():
        with tempfile.TemporaryDirectory(dir=place) as aside:
            filled = Path(aside) / "filled"
            filled.mkdir()
            fill(archive, filled)
            filled.rename(folder)
    return folder


@cache
def _sha256(archive: Path) -> str:
    """Hash an archive once a process: hashing it for each of its pictures took most of the time."""
    with archive.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def cached_archive(package: Package) -> Path:
    """Return where a package's archive is kept once it has been fetched."""
    base = os.environ.get("PRIMECOAT_TEST_CACHE")
    cache = Path(base) if base else Path.home() / ".cache" / "primecoat-tests"
    return cache / package.archive


def not_there(package: Package, reason: str) -> NoReturn:
    """Skip the test with a reason, or fail it in CI."""
    words = f"open data: {package.name} cannot be used ({reason})"
    if os.environ.get("CI"):
        pytest.fail(words)
    pytest.skip(words)


def _fetch(package: Package, archive: Path) -> None:
    client = shutil.which("npm")
    if client is None:
        not_there(package, "there is no npm on this machine")
    with tempfile.TemporaryDirectory(dir=archive.parent) as aside:
        command = [client, "pack", package.name, "--silent"]
        ran = subprocess.run(command, cwd=aside, capture_output=True, text=True, timeout=300)
        if ran.returncode != 0:
            not_there(package, (ran.stderr.strip().splitlines() or ["npm gave no reason"])[-1])
        (Path(aside) / package.archive).rename(archive)
