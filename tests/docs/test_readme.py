"""The README's worked example is what the commands print."""

from __future__ import annotations

import importlib.util
from pathlib import Path

TOOL = Path(__file__).parents[2] / "tools" / "write_readme_example.py"


def test_worked_example_is_what_the_commands_print() -> None:
    """Running the example again gives the README as it stands."""
    spec = importlib.util.spec_from_file_location("write_readme_example", TOOL)
    assert spec is not None
    assert spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    assert tool.main(["--check"]) == 0
