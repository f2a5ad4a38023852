"""The measure of branches: a branch that no test takes fails it, and is told by its line."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

pytest.importorskip("coverage", reason="coverage is a tool for developers; CI has it")

ROOT = Path(__file__).parents[2]


@pytest.fixture
def tool(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Return the tool."""
    spec = importlib.util.spec_from_file_location("branches", ROOT / "tools" / "branches.py")
    assert spec
    assert spec.loader
    tool = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "branches", tool)  # where dataclasses look for it
    spec.loader.exec_module(tool)
    return tool


@pytest.fixture
def branches(tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Return the tool, for a project of one module."""
    for name in ("src/primecoat", "tests"):
        (tmp_path / name).mkdir(parents=True)
    (tmp_path / "src" / "primecoat" / "__init__.py").touch()
    (tmp_path / "src" / "primecoat" / "kiln.py").write_text(
        "def heat(cone):\n    if cone > 4:\n        return 'hot'\n    return 'warm'\n"
    )
    monkeypatch.setattr(tool, "ROOT", tmp_path)
    monkeypatch.setattr(tool, "PARTS", {"kiln": tool.Part(("kiln.py",), ("test_kiln.py",))})
    return tool


@pytest.mark.parametrize(
    ("cones", "code", "told"),
    [("(4, 5)", 0, "100.00%"), ("(5,)", 1, "   4\n")],
    ids=["all", "one left out"],
)
def test_what_is_left_out_fails(
    branches: ModuleType, capfd: pytest.CaptureFixture[str], cones: str, code: int, told: str
) -> None:
    """Counted by hand, in a project of its own: both branches taken, then one of the two."""
    wanted = "['warm', 'hot']" if cones == "(4, 5)" else "['hot']"
    (branches.ROOT / "tests" / "test_kiln.py").write_text(
        "from primecoat.kiln import heat\n\n\ndef test_heat():\n"
        f"    assert [heat(cone) for cone in {cones}] == {wanted}\n"
    )
    assert branches.main(["kiln"]) == code
    assert told in capfd.readouterr().out


def test_a_part_that_there_is_not(branches: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    """Use that cannot be meant is refused with the names that there are."""
    with pytest.raises(SystemExit):
        branches.main(["glaze"])
    assert "there is no part 'glaze'; the parts are kiln" in capsys.readouterr().err


def test_the_parts_name_what_is_there(tool: ModuleType) -> None:
    """Every pattern and every test of the real parts finds something."""
    assert "apply" in tool.PARTS
    for part in tool.PARTS.values():
        assert all(list((ROOT / "src" / "primecoat").glob(name)) for name in part.modules)
        assert all((ROOT / "tests" / name).exists() for name in part.tests)
