"""``NO_COLOR`` is honoured, also where colour is forced (https://no-color.org)."""

from __future__ import annotations

import os
import re
from pathlib import Path

from tests.cli.terminal import in_a_process

SGR = re.compile(r"\x1b\[([\d;]*)m")
COLOURS = {*range(30, 50), *range(90, 108)} - {39, 49}
"""What sets a colour of text or ground. Source: ECMA-48, 8.3.117 (90 to 107: common practice)."""


def colours(text: str) -> set[int]:
    """Return the numbers in a text's escapes that set colours."""
    return {int(n) for found in SGR.findall(text) for n in found.split(";") if n} & COLOURS


def test_no_escape_sets_a_colour(scene: Path):
    """Bold and dim may stay: the convention is about colour."""
    forced = os.environ | {"FORCE_COLOR": "1", "TERM": "xterm-256color"}
    told = in_a_process("survey", scene, env=forced | {"NO_COLOR": "1"})
    assert told.code == 0
    assert "\x1b[1m" in told.out
    assert not colours(told.out + told.err)
    assert colours("\x1b[1;31mred\x1b[0m") == {31}
