"""Scene sheets: what is read of them, however a program wrote them."""

from __future__ import annotations

from pathlib import Path

import pytest

from primecoat.errors import InputError
from primecoat.scenes.formats import sheet
from primecoat.scenes.model import COLOUR_SLOTS, DATA_SLOTS, SLOTS

HEAD = "path,owner,slot,channels,space,value\n"


def read(folder: Path, text: str | bytes):
    path = folder / "s.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return sheet.read(path, "s.csv")


def test_all_columns(tmp_path: Path):
    """A row gives a use with owner, slot, channels and declaration, and where each stands."""
    scene = read(tmp_path, HEAD + "maps/a.png,glaze,base_color,rgb,srgb_texture,\n")
    (use,) = scene.uses
    assert (use.owner, use.slot, use.channels, use.declared) == (
        "glaze",
        "base_color",
        "rgb",
        "srgb_texture",
    )
    assert (str(use.location), str(use.declared_at)) == ("s.csv#row 2", "s.csv#row 2/space")
    assert (use.fixed, use.standard) == (None, "scene sheet")
    (reference,) = scene.references
    assert (reference.text, str(reference.location)) == ("maps/a.png", "s.csv#row 2/path")
    assert scene.problems == ()


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_dialects(delimiter: str, ending: str, bom: bytes, tmp_path: Path):
    """Comma, semicolon or tab; line ends of any system; a byte-order mark: all read the same."""
    lines = [
        "path|owner|slot",
        "a, b.png|tea;pot|normal" if delimiter == "\t" else "a.png|p|normal",
    ]
    text = ending.join(line.replace("|", delimiter) for line in lines) + ending
    scene = read(tmp_path, bom + text.encode())
    assert [
        (r.text, u.owner, u.slot) for r, u in zip(scene.references, scene.uses, strict=True)
    ] == [(lines[1].split("|")[0], lines[1].split("|")[1], "normal")]
    assert scene.problems == ()


def test_quoted_cells(tmp_path: Path):
    """A cell may hold the delimiter, quotes and a line break; the next row's number is right."""
    text = HEAD + '"a,b.png","the ""old""\npot",normal,,,\nc.png,x,mask,,,\n'
    scene = read(tmp_path, text)
    assert [(u.owner, u.location.place) for u in scene.uses] == [
        ('the "old"\npot', "row 2"),
        ("x", "row 4"),
    ]
    assert scene.references[0].text == "a,b.png"


@pytest.mark.parametrize("sign", ["\u2028", "\x85", "\x0b", "\x0c", "\x1c"])
def test_signs_that_are_no_line_ends(sign: str, tmp_path: Path):
    """Only line feed and carriage return end a row; other separators are part of a cell."""
    scene = read(tmp_path, HEAD + f"a.png,x{sign}y,normal,,,\nb.png,z,mask,,,\n")
    assert [u.owner for u in scene.uses] == [f"x{sign}y", "z"]
    assert [u.location.place for u in scene.uses] == ["row 2", "row 3"]


def test_columns_in_any_order_and_case(tmp_path: Path):
    """Columns are known by name, in any order and case; further ones are left alone."""
    scene = read(tmp_path, " Slot ,note,PATH\nnormal,hello,a.png\n")
    assert [(scene.references[0].text, u.slot, u.owner) for u in scene.uses] == [
        ("a.png", "normal", "")
    ]


def test_short_and_empty_rows(tmp_path: Path):
    """Missing cells are empty; empty rows and rows of notes only are passed over."""
    scene = read(tmp_path, HEAD + "\na.png,x,normal\n,,,,,\n,only a note,,,,\n\n")
    assert [u.location.place for u in scene.uses] == ["row 3"]
    assert scene.problems == ()


@pytest.mark.parametrize("slot", SLOTS)
def test_every_slot(slot: str, tmp_path: Path):
    """Every slot word is taken; single-number maps use the red channel unless told otherwise."""
    scene = read(tmp_path, HEAD + f"a.png,x,{slot},,,\nb.png,x,{slot},A,,\n")
    assert scene.problems == ()
    first, second = scene.uses
    many = slot in COLOUR_SLOTS or slot in ("normal", "packed", "other_data")
    assert first.channels == ("rgb" if many else "r")
    assert second.channels == "a"
    assert (slot in COLOUR_SLOTS) != (slot in DATA_SLOTS)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("a.png,x,colour,,,", "the slot 'colour' is not known"),
        ("a.png,x,,,,", "the slot '' is not known"),
        ("a.png,x,normal,xyz,,", "channels 'xyz'"),
        ("a.png,x,normal,rr,,", "channels 'rr'"),
        (",x,base_color,,,", "neither a path nor three numbers"),
        (",x,base_color,,,0.1 0.2", "neither a path nor three numbers"),
        (",x,base_color,,,0.1 0.2 nan", "neither a path nor three numbers"),
        (",x,base_color,,,0.1 0.2 inf", "neither a path nor three numbers"),
        (",x,base_color,,,1e99 0 0", "neither a path nor three numbers"),
        (",x,base_color,,,red green blue", "neither a path nor three numbers"),
    ],
)
def test_row_that_is_wrong(row: str, words: str, tmp_path: Path):
    """A wrong row is one finding with its number; the rows after it are still read."""
    scene = read(tmp_path, HEAD + row + "\nb.png,y,mask,,,\n")
    assert [u.owner for u in scene.uses] == ["y"]
    assert scene.colours == ()
    (problem,) = scene.problems
    assert problem.name == "reference_in_scene_is_broken"
    assert "row 2" in problem.message
    assert words in problem.message


def test_colours_and_lights(tmp_path: Path):
    """Three numbers are a picked colour, or a light's; the declared space stands beside it."""
    text = HEAD + ",clay,base_color,,lin_rec709,0.5 -0.25 2\n,lamp,light_color,,,1 0.9 0.8\n"
    scene = read(tmp_path, text)
    (colour,), (light,) = scene.colours, scene.lights
    assert (colour.value, colour.declared, colour.fixed) == ((0.5, -0.25, 2.0), "lin_rec709", None)
    assert (light.value, light.declared, light.owner) == ((1.0, 0.9, 0.8), None, "lamp")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no CSV"),
        (b"a,b\n1,2\n", "no column path and slot"),
        (b"path,owner\n", "no column slot"),
        (b"\x00\x01\x02", "no CSV"),
        (bytes(range(256)), "not UTF-8"),
        ("päth,slot\n".encode("latin-1"), "not UTF-8"),
        ("path,slot\n".encode("utf-16"), "not UTF-8"),
        (b'path,slot\n"a.png,normal\n', "line 2 is no CSV"),
        (b'path,slot\n"a"x,normal\n', "line 2 is no CSV"),
        (b"path,slot\n" + b"x" * 200_000 + b",normal\n", "line 2 is no CSV"),
        (b"\n\npath,slot\n", "no column path and slot"),
    ],
)
def test_file_that_is_no_sheet(data: bytes, words: str, tmp_path: Path):
    """What is no scene sheet is one error of ours, in one line, that names the file."""
    with pytest.raises(InputError, match=words) as error:
        read(tmp_path, data)
    assert "s.csv" in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (HEAD.encode(), True),
        (b"\xef\xbb\xbfPath;Slot\n", True),
        ("path\tslot\n".encode("utf-16"), True),
        ("path,slot,Stück\n".encode("latin-1"), True),
        (b'"path","slot"\n', True),
        (b"slots,path\n", True),
        (b"name,price\ncup,3\n", False),
        (b"", False),
        (bytes(range(256)), False),
        (b"path,owner,slot,channels,space,value,working,standing,today,section,note\n", False),
    ],
)
def test_which_csv_in_a_folder_is_a_scene(data: bytes, expected: bool, tmp_path: Path):
    """A CSV met in a folder is a scene by its first line; a settings sheet is not one."""
    path = tmp_path / "s.csv"
    path.write_bytes(data)
    assert sheet.claims(path) is expected
