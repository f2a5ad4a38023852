"""Edits of scene sheets, and the settings sheet that a spreadsheet must not run."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from primecoat.errors import RefusedError
from primecoat.scenes.formats import sheet
from primecoat.scenes.model import Edit

ODD = (
    "\ufeffpath;note; owner ;slot;space\r\n"
    '"a.png";"he said ""no""";x;normal;\r\n'
    "\r\n"
    'b.png;"two\r\nlines";y;mask;data;one cell too many\r\n'
    "c.png;;z;height\r\n"
    "d.png;;q;opacity;data"
)
"""A sheet as programs write them: mark, CRLF, quotes, blanks, rows of any length, no last line
end."""


def rows_of(data: bytes) -> list[list[str]]:
    """Return all cells, by Python's own reader."""
    text = data.decode("utf-8-sig")
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=";"))


def test_one_cell_changes_its_row_only():
    """Every other line stays byte for byte, with its quotes and line ends."""
    data = ODD.encode()
    changed = sheet.edit(data, [Edit(place="row 6/space", before="", after="data")])
    assert changed == data.replace(b"c.png;;z;height\r\n", b"c.png;;z;height;data\r\n")


def test_last_row_without_line_end():
    """The last row gets no line end that it did not have."""
    changed = sheet.edit(ODD.encode(), [Edit(place="row 7/path", before="d.png", after="e.png")])
    assert changed == ODD.encode().replace(b"d.png", b"e.png")


def test_row_of_two_lines():
    """A row with a line break in a cell is edited as one, and keeps the break."""
    changed = sheet.edit(ODD.encode(), [Edit(place="row 4/path", before="b.png", after="n;w.png")])
    assert changed == ODD.encode().replace(b"b.png", b'"n;w.png"')


def test_reverse_gives_the_cells_back():
    """An edit and its reverse give the same cells; bytes too where the row was plainly written."""
    edit = Edit(place="row 7/space", before="data", after="lin_ap1_scene")
    assert sheet.edit(sheet.edit(ODD.encode(), [edit]), [edit.reverse()]) == ODD.encode()
    quoted = Edit(place="row 2/space", before="", after="data")
    there = sheet.edit(ODD.encode(), [quoted])
    assert rows_of(sheet.edit(there, [quoted.reverse()])) == rows_of(ODD.encode())


def test_new_column(tmp_path: Path):
    """A column that is missing is added at the right of the longest row, for the rows asked."""
    text = "path,slot\na.png,normal,a note beyond the columns\n\nb.png,mask\n"
    changed = sheet.edit(text.encode(), [Edit(place="row 4/space", before="", after="data")])
    assert changed.decode() == (
        "path,slot,,space\na.png,normal,a note beyond the columns,\n\nb.png,mask,,data\n"
    )
    path = tmp_path / "s.csv"
    path.write_bytes(changed)
    scene = sheet.read(path, "s.csv")
    assert [u.declared for u in scene.uses] == [None, "data"]


@pytest.mark.parametrize(
    ("place", "before", "words"),
    [
        ("row 7/space", "raw", "says 'data'"),
        ("row 6/space", "data", "says ''"),
        ("row 99/space", "", "no row 99"),
        ("row 5/space", "", "no row 5"),  # the second line of row 4
    ],
)
def test_edit_that_does_not_fit(place: str, before: str, words: str):
    """A cell that says something else, or a row that is not there, stops the edit."""
    with pytest.raises(RefusedError, match=words):
        sheet.edit(ODD.encode(), [Edit(place=place, before=before, after="data")])


CELLS = st.text(st.characters(exclude_characters="\x00\r", exclude_categories=["Cs"]), max_size=8)


@settings(deadline=None)
@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=4), CELLS, st.data())
def test_any_cells(table: list[tuple[str, str]], new: str, data: st.DataObject):
    """Whatever the cells hold, an edit changes the cell asked for and no other cell."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows([("path", "slot", "note"), *((f"p{i}", *t) for i, t in enumerate(table))])
    before = out.getvalue().encode()
    chosen = data.draw(st.integers(0, len(table) - 1))
    line = 2 + sum(1 + sum(cell.count("\n") for cell in row) for row in table[:chosen])
    edit = Edit(place=f"row {line}/path", before=f"p{chosen}", after=new)
    after = sheet.edit(before, [edit])
    cells = list(csv.reader(io.StringIO(after.decode(), newline="")))
    expected = [["path", "slot", "note"], *([f"p{i}", *t] for i, t in enumerate(table))]
    expected[chosen + 1][0] = new
    assert cells == expected


@pytest.mark.parametrize(
    "cell", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\tx", "\rx", "=HYPERLINK(1)"]
)
def test_settings_sheet_runs_nothing(cell: str):
    """A cell that a spreadsheet would run is written behind an apostrophe."""
    lines = list(sheet.settings_rows([{"path": cell, "slot": "normal"}]))
    row = next(csv.reader(io.StringIO("".join(lines[1:]), newline="")))
    assert row == ["'" + cell, "normal"]


@pytest.mark.parametrize("cell", ["-0.5 1 2", "+1", "a=b", "cup.png", "", "-1e-3 -2 -3"])
def test_settings_sheet_leaves_others(cell: str):
    """Numbers, with their sign, and everything else stay as they are."""
    lines = list(sheet.settings_rows([{"path": "a.png", "value": cell}]))
    assert next(csv.reader([lines[1]])) == ["a.png", cell]


def test_settings_sheet_without_rows():
    """An empty scene still gives a sheet with its columns."""
    assert list(sheet.settings_rows([])) == ["path,owner,slot,channels,space,value\n"]
