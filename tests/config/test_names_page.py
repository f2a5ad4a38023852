"""The page of colour-space names is what the tool writes now, and lists every name."""

from __future__ import annotations

import runpy
from pathlib import Path

from tests.config.builtins import BUILTINS, builtin

ROOT = Path(__file__).parents[2]


def test_page_is_up_to_date():
    tool = runpy.run_path(str(ROOT / "tools" / "write_colour_space_names.py"))
    page = (ROOT / "docs" / "reference" / "colour-space-names.md").read_text(encoding="utf-8")
    assert page == tool["page"](), "Run: python tools/write_colour_space_names.py"


def test_printed_table_holds_every_active_name():
    tool = runpy.run_path(str(ROOT / "tools" / "write_colour_space_names.py"))
    printed = tool["page"](makers=True)
    for config in map(builtin, BUILTINS):
        assert not [n for n in config.getColorSpaceNames() if f"\n| {n} |" not in printed]
