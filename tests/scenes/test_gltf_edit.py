"""Edits of glTF scenes change the value asked for and no other byte."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import pytest
from tests.scenes import builders as b

from primecoat.errors import InputError, RefusedError
from primecoat.scenes.formats import gltf
from primecoat.scenes.model import Edit

ODD = (
    '{ "asset" :{"version":"2.0"} ,\r\n\t"extras": {"uri": "a.png", "n": 1.50e+03, "u": "\\u00e9é"}'
    ","
    '\r\n "images":[ {"name":"x","uri" : "old.png"} ,\r\n\r\n {"uri":"t\\u00e9a\\/b.png"} ],'
    '"extras": [ "a.png" ,"\\"images\\"", {"images":[{"uri":"no"}]} ] }\r\n\r\n'
)
"""Odd but valid JSON: CRLF, tabs, escapes, a key twice, names inside other values."""

CASES = {
    "first": ("/images/0/uri", "old.png", '"old.png"'),
    "escaped": ("/images/1/uri", "téa/b.png", '"t\\u00e9a\\/b.png"'),
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("new", ["new.png", 'q"\\uote.png', "茶.png", ""])
def test_only_the_value_changes(case: str, bom: bytes, new: str):
    """In oddly written JSON all bytes but the value stay; the value reads as the new text."""
    place, old, written = CASES[case]
    data = bom + ODD.encode()
    changed = gltf.edit(data, [Edit(place=place, before=old, after=new)])
    before, after = data.split(written.encode())
    assert changed.startswith(bom + before.removeprefix(bom))
    assert changed.endswith(after)
    value = changed[len(before) : len(changed) - len(after)]
    assert json.loads(value) == new
    back = gltf.edit(changed, [Edit(place=place, before=new, after=old)])
    assert json.loads(back.decode("utf-8-sig")) == json.loads(ODD)


def test_plain_edit_is_taken_back_byte_for_byte():
    """An edit and its reverse give the file again, byte for byte."""
    data = ODD.encode()
    edit = Edit(place="/images/0/uri", before="old.png", after="new.png")
    assert gltf.edit(gltf.edit(data, [edit]), [edit.reverse()]) == data


def test_several_edits_at_once():
    """Edits of several places do not move one another, in any order."""
    edits = [
        Edit(place="/images/0/uri", before="old.png", after="a-much-longer-name.png"),
        Edit(place="/images/1/uri", before="téa/b.png", after="c"),
    ]
    changed = gltf.edit(ODD.encode(), edits)
    assert changed == gltf.edit(ODD.encode(), edits[::-1])
    assert (
        changed
        == ODD.replace('"old.png"', '"a-much-longer-name.png"')
        .replace('"t\\u00e9a\\/b.png"', '"c"')
        .encode()
    )


def test_last_of_two_equal_keys():
    """Of two members with one name the last is edited, the one that JSON readers see."""
    data = b'{"images":[{"uri":"dead.png"}],"images":[{"uri":"x","uri":"live.png"}]}'
    changed = gltf.edit(data, [Edit(place="/images/0/uri", before="live.png", after="new.png")])
    assert changed == data.replace(b"live.png", b"new.png")


@pytest.mark.parametrize(
    ("place", "before", "error", "words"),
    [
        ("/images/0/uri", "other.png", RefusedError, "old.png"),
        ("/images/7/uri", "old.png", InputError, "/images/7/uri"),
        ("/images/0/nothing", "", InputError, "/images/0/nothing"),
        ("/images/0/name", "x", RefusedError, "cannot be edited"),
        ("/asset/version", "2.0", RefusedError, "cannot be edited"),
    ],
)
def test_edit_that_does_not_fit(place: str, before: str, error: type[Exception], words: str):
    """A place that says something else, or is not there, or may not change, stops the edit."""
    with pytest.raises(error, match=words):
        gltf.edit(ODD.encode(), [Edit(place=place, before=before, after="new.png")])


def chunks_of(data: bytes) -> list[tuple[int, bytes]]:
    """Return the chunks of a .glb, every length checked against the file."""
    magic, version, total = struct.unpack_from("<4sII", data)
    assert (magic, version, total) == (b"glTF", 2, len(data))
    at, found = 12, []
    while at < len(data):
        length, kind = struct.unpack_from("<II", data, at)
        assert length % 4 == 0
        assert at + 8 + length <= len(data)
        found.append((kind, data[at + 8 : at + 8 + length]))
        at += 8 + length
    return found


@pytest.mark.parametrize("new", ["x.png", "xx.png", "xxx.png", "xxxx.png", "a" * 500])
def test_glb_stays_whole(new: str, tmp_path: Path):
    """A .glb keeps its buffer byte for byte, and every length in it is right, at any padding."""
    picture = b.png()
    data = b.glb_with_images(picture, picture)
    edit = Edit(place="/images/1/bufferView", before="1", after=new)
    changed = gltf.edit(data, [edit])
    (kind, text), buffer = chunks_of(changed)
    assert kind == 0x4E4F534A
    assert buffer == chunks_of(data)[1]
    expected = json.loads(chunks_of(data)[0][1])
    expected["images"][1] = {"uri": new, "mimeType": "image/png"}
    assert json.loads(text) == expected
    (tmp_path / "s.glb").write_bytes(changed)
    scene = gltf.read(tmp_path / "s.glb", "s.glb")
    assert [(r.text, r.embedded) for r in scene.references] == [("", picture), (new, None)]


def test_glb_with_a_chunk_of_its_maker():
    """A chunk after the buffer, of a kind that nobody knows, stays as it is."""
    data = b.glb_with_images(b.png())
    extra = struct.pack("<II", 8, 0x12345678) + b"keep me!"
    data = data[:8] + struct.pack("<I", len(data) + len(extra)) + data[12:] + extra
    changed = gltf.edit(data, [Edit(place="/images/0/bufferView", before="0", after="x.png")])
    assert chunks_of(changed)[1:] == chunks_of(data)[1:]
