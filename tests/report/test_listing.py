"""A list of pictures on terminals of any width: no name is ever dropped or cut short."""

from __future__ import annotations

import io

import pytest
from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

from primecoat.report.listing import Listing

HEADS = ("image", "must be read as", "findings")
ROWS = [
    ("textures/teapot_occlusion_roughness_metalness.png", "data", ""),
    ("textures/茶碗_color.png", "srgb_rec709_scene", "PC102 PC104"),
]


def printed(width: int) -> list[str]:
    console = Console(file=io.StringIO(), width=width)
    console.print(Listing(heads=HEADS, rows=[[Text(cell) for cell in row] for row in ROWS]))
    assert isinstance(console.file, io.StringIO)
    return [line.rstrip() for line in console.file.getvalue().splitlines()]


@pytest.mark.parametrize("width", [200, 100, 80, 60])
def test_names_are_whole(width: int):
    lines = printed(width)
    for name, reading, codes in ROWS:
        assert any(name in line for line in lines)
        assert any(reading in line for line in lines)
        assert all(code in " ".join(lines) for code in codes.split())
    assert max(cell_len(line) for line in lines) <= width


def test_a_table_where_there_is_room():
    head, *rows = printed(81)  # 49 + 2 + 17 + 2 + 11 cells
    assert head.split("  ")[0] == "image"
    assert len(rows) == len(ROWS)


def test_a_line_each_and_the_facts_below_where_there_is_not():
    assert printed(80) == [
        "textures/teapot_occlusion_roughness_metalness.png",
        "    must be read as data",
        "textures/茶碗_color.png",
        "    must be read as srgb_rec709_scene; findings PC102 PC104",
    ]


def test_a_few_long_names_are_folded_in_the_table():
    console = Console(file=io.StringIO(), width=90)
    rows = [(Text(name), Text("data")) for name in ("a" * 120, *["cup.png"] * 19)]
    console.print(Listing(heads=("image", "must be read as"), rows=rows))
    assert isinstance(console.file, io.StringIO)
    lines = console.file.getvalue().splitlines()
    assert lines[0].split() == ["image", "must", "be", "read", "as"]
    assert "".join(line[:73].strip() for line in lines[1:3]) == "a" * 120


@pytest.mark.parametrize("width", [60, 24])
def test_lines_of_heads_and_cells(width: int):
    console = Console(file=io.StringIO(), width=width)
    heads = ("file", "CIEDE2000\nof it", "mid-grey")
    row = [Text("courtyard.hdr"), Text("mean 8.4\n95 % 15.8"), Text("")]
    console.print(Listing(heads=heads, rows=[row]))
    assert isinstance(console.file, io.StringIO)
    lines = [line.rstrip() for line in console.file.getvalue().splitlines()]
    if width == 60:
        assert lines[2:] == ["courtyard.hdr  mean 8.4", "               95 % 15.8"]
    else:
        assert lines == ["courtyard.hdr", "    CIEDE2000 of it mean", "    8.4, 95 % 15.8"]
