from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def faulted(tmp_path_factory: pytest.TempPathFactory, written_faulted: Path) -> Path:
    folder = tmp_path_factory.mktemp("faulted")
    return shutil.copytree(written_faulted, folder, dirs_exist_ok=True)


@pytest.fixture(scope="session")
def clean(tmp_path_factory: pytest.TempPathFactory, written_clean: Path) -> Path:
    folder = tmp_path_factory.mktemp("clean")
    return shutil.copytree(written_clean, folder, dirs_exist_ok=True)


@pytest.fixture(scope="session", params=[False, True], ids=["faulted", "clean"])
def twin(request: pytest.FixtureRequest) -> Path:
    folder: Path = request.getfixturevalue("clean" if request.param else "faulted")
    return folder


@pytest.fixture(scope="session")
def png_chunks() -> Callable[[Path], dict[str, bytes]]:
    """The chunks of a PNG by name, read without any library."""

    def read(path: Path) -> dict[str, bytes]:
        data, place, found = path.read_bytes(), 8, {}
        assert data[:8] == b"\x89PNG\r\n\x1a\n"
        while place < len(data):
            size, name = int.from_bytes(data[place : place + 4], "big"), data[place + 4 : place + 8]
            found[name.decode()] = data[place + 8 : place + 8 + size]
            place += 12 + size
        return found

    return read
