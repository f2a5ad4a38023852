"""The wheel holds what the package needs at run time, and nothing else."""

from __future__ import annotations

import runpy
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOOL = runpy.run_path(str(ROOT / "tools" / "check_wheel.py"))


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    made: Path = TOOL["build"](tmp_path_factory.mktemp("wheel"))
    return made


def test_wheel_is_whole(wheel: Path):
    """With the page of the desk, data, types and schemas; the command and no reader are named."""
    assert TOOL["faults"](wheel) == []
    with zipfile.ZipFile(wheel) as packed:
        [points] = [name for name in packed.namelist() if name.endswith("entry_points.txt")]
        assert "primecoat = primecoat.__main__:run" in packed.read(points).decode()


def test_what_is_missing_or_too_much_is_told(wheel: Path, tmp_path: Path):
    other = tmp_path / "primecoat-0-py3-none-any.whl"
    with zipfile.ZipFile(wheel) as packed, zipfile.ZipFile(other, "w") as made:
        for name in packed.namelist():
            if name != "primecoat/py.typed":
                made.writestr(name, packed.read(name))
        made.writestr("tests/test_x.py", "")
    assert TOOL["faults"](other) == ["lacks primecoat/py.typed", "holds tests/test_x.py"]
