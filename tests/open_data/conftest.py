"""Real pictures that nobody here made, fetched once by the package client into a cache.

Source: the npm package ``@pmndrs/assets`` 1.7.0, licence CC0-1.0 as its package.json states: normal
maps, environments, textures and material spheres, each as base64 in a JavaScript module.
"""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shutil
import subprocess
import tarfile
import tempfile
from pathlib import Path

import pytest

PACKAGE = "@pmndrs/assets@1.7.0"
ARCHIVE = "pmndrs-assets-1.7.0.tgz"
SHA256 = "152bd218a3390703f184f0c6ce16e73c8f0a87f32d38530d418a09d33d8208dc"

_MODULE = re.compile(r"""export default ['"]data:[a-z0-9/+.-]+;base64,([A-Za-z0-9+/=]+)['"]""")


@pytest.fixture(scope="session")
def open_pictures() -> Path:
    """Return a folder with one folder each of ``normals``, ``hdri``, ``textures``, ``matcaps``."""
    cache = _cache()
    archive = cache / ARCHIVE
    if not archive.exists():
        _fetch(archive)
    found = hashlib.sha256(archive.read_bytes()).hexdigest()
    assert found == SHA256, f"{archive} is not the package that was pinned; remove it"
    pictures = cache / SHA256[:16]
    if not pictures.exists():
        with tempfile.TemporaryDirectory(dir=cache) as aside:
            _unpack(archive, Path(aside) / "pictures")
            (Path(aside) / "pictures").rename(pictures)
    return pictures


def _cache() -> Path:
    base = os.environ.get("PRIMECOAT_TEST_CACHE")
    folder = Path(base) if base else Path.home() / ".cache" / "primecoat-tests"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _fetch(archive: Path) -> None:
    client = shutil.which("npm")
    reason = "no npm on this machine"
    if client:
        command = [client, "pack", PACKAGE, "--silent"]
        with tempfile.TemporaryDirectory(dir=archive.parent) as aside:
            ran = subprocess.run(command, cwd=aside, capture_output=True, text=True, timeout=300)
            if ran.returncode == 0:
                (Path(aside) / ARCHIVE).rename(archive)
                return
        reason = (ran.stderr.strip().splitlines() or ["npm gave no reason"])[-1]
    words = f"open data: {PACKAGE} cannot be fetched ({reason})"
    if os.environ.get("CI"):
        pytest.fail(words)
    pytest.skip(words)


def _unpack(archive: Path, folder: Path) -> None:
    with tarfile.open(archive) as members:
        for member in members:
            parts = Path(member.name).parts
            stream = members.extractfile(member) if member.name.endswith(".js") else None
            match = _MODULE.match(stream.read().decode()) if stream else None
            if match and len(parts) == 3 and parts[1] != "fonts":
                target = folder / parts[1] / Path(parts[2]).stem
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(base64.b64decode(match[1]))
