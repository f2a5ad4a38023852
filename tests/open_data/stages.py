"""Real USD stages that nobody here made, from packages of the Python registry, pinned by hash.

Robots, boxes and lamps for a physics library, and a walking robot as a package with its textures.
No stage is kept in this repository: only these pins.
"""

from __future__ import annotations

import io
import tarfile
import zipfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from tests.open_data.npm import Package, cached
from tests.open_data.pypi import fetch_from_pypi

PACKAGES = {
    # licence as it states it: Apache-2.0
    "newton": Package(
        "newton==1.8.0",
        "newton-1.8.0-py3-none-any.whl",
        "f17435c1a8bc6451acd5306ce00e296e7c6931eb8b9d9d61e44e876b2cd9caa2",
    ),
    # licence as it states it: MIT; the packed robot carries its own text of the same licence
    "ansys-tools-usdviewer": Package(
        "ansys-tools-usdviewer==0.1.0",
        "ansys_tools_usdviewer-0.1.0.tar.gz",
        "400c06a18b629643b48106cb545e71e7b6db3936828fa0a8923de8c92d7e3846",
    ),
}

_ENDINGS = (".usd", ".usda", ".usdc", ".usdz")


def stage_folder(package: str) -> Path:
    """Return the folder with one package's stages; skip the test where it cannot be had."""
    return cached(PACKAGES[package], fetch_from_pypi, _fill)


def stages_of(folder: Path) -> dict[str, Path]:
    """Return every stage in a package's folder, by its path there."""
    files = (p for p in sorted(folder.rglob("*")) if p.suffix in _ENDINGS)
    return {p.relative_to(folder).as_posix(): p for p in files}


def _fill(archive: Path, folder: Path) -> None:
    for name, data in _members(archive):
        path = PurePosixPath(name)
        if path.suffix in _ENDINGS and ".." not in path.parts and not path.is_absolute():
            target = folder.joinpath(*path.parts[1:])
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)


def _members(archive: Path) -> Iterator[tuple[str, bytes]]:
    if archive.suffix == ".whl":
        with zipfile.ZipFile(archive) as wheel:
            for name in wheel.namelist():
                yield name, wheel.read(name)
        return
    with tarfile.open(archive) as members:
        for member in members:
            stream = members.extractfile(member) or io.BytesIO()
            yield member.name, stream.read()
