"""Documents and places inside texts: what is read, and the one line of what cannot be."""

from __future__ import annotations

import json
import os
from pathlib import Path

import numpy as np
import pytest

from primecoat import documents
from primecoat.documents import LONGEST_LINE, load_state, read_state, state_lines
from primecoat.errors import InputError, UseError
from primecoat.limits import SCENE_BYTES, refuse_larger
from primecoat.location import Location, counted, pasteable, printable
from primecoat.scenes.gltf_accessor import accessor_rows, as_fractions, colour_rows

KIND = "primecoat.plan/1"
BUFFER = np.array([1, 2, 3, 4, 5, 6], "<u1").tobytes()
SOUND = {"componentType": 5121, "type": "VEC3", "count": 2}


def test_a_document_there_and_back(tmp_path: Path):
    path = tmp_path / "plan.json"
    path.write_text(documents.dumps({"document": KIND, "n": 1}))
    assert documents.load(path, KIND) == {"document": KIND, "n": 1}


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (None, "No such file"),
        (b"\xff", "not UTF-8"),
        (b"{", "not valid JSON"),
        (b"[" * 100_000, "not valid JSON"),
        (b"[]", "it says None"),
        (b'{"document": "x"}', "it says 'x'"),
    ],
)
def test_what_is_no_document(data: bytes | None, words: str, tmp_path: Path):
    path = tmp_path / "plan.json"
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(InputError, match=words):
        documents.load(path, KIND)


def test_limits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """A limit is a whole number; what is larger is refused with the value that would let it."""
    path = tmp_path / "a.json"
    refuse_larger(path, "a.json", SCENE_BYTES)  # that it is missing is for the reader to say
    path.write_bytes(b"12345")
    refuse_larger(path, "a.json", SCENE_BYTES)
    monkeypatch.setenv(SCENE_BYTES.variable, "4")
    with pytest.raises(InputError, match=f"{SCENE_BYTES.variable}=5"):
        refuse_larger(path, "a.json", SCENE_BYTES)
    monkeypatch.setenv(SCENE_BYTES.variable, "-4")
    with pytest.raises(UseError, match="no whole number above 0"):
        refuse_larger(path, "a.json", SCENE_BYTES)


def test_places_and_words():
    assert (str(Location("a.csv")), str(Location("a.csv", "row 2"))) == ("a.csv", "a.csv#row 2")
    assert (counted(1, "image"), counted(2, "image")) == ("1 image", "2 images")
    assert printable("a\u00a0b\u202ec\n") == "a\u00a0b\\u202ec\\n"
    assert printable("größer") == "größer"


def test_accessor():
    """Source: glTF 2.0, 3.6.2.2 (normalised integers) and 3.6.2.4 (alignment and stride)."""
    rows = accessor_rows(SOUND, {}, BUFFER)
    assert rows is not None
    assert rows.tolist() == [[1, 2, 3], [4, 5, 6]]
    colours = colour_rows(SOUND, {}, BUFFER)
    assert colours is not None
    assert colours[0].tolist() == [1 / 255, 2 / 255, 3 / 255]
    assert as_fractions(np.array([-128, 127], np.int8)).tolist() == [-1.0, 1.0]
    assert as_fractions(np.array([0.5], np.float32)).tolist() == [0.5]


@pytest.mark.parametrize(
    ("accessor", "view"),
    [
        ({"componentType": 5124}, {}),
        ({"type": "VEC9"}, {}),
        ({"type": []}, {}),
        ({"count": 0}, {}),
        ({"count": "2"}, {}),
        ({"count": 2**70}, {}),
        ({"byteOffset": -1}, {}),
        ({}, {"byteStride": 1}),
        ({}, {"byteStride": 2.5}),
        ({}, {"byteOffset": 1}),
    ],
    ids=str,
)
def test_accessor_that_leads_out(accessor: dict[str, object], view: dict[str, object]):
    assert accessor_rows({**SOUND, **accessor}, view, BUFFER) is None


@pytest.mark.parametrize("other", [{"componentType": 5120}, {"type": "VEC2"}, {"count": 9}])
def test_accessor_of_no_colours(other: dict[str, object]):
    assert colour_rows({**SOUND, **other}, {}, BUFFER) is None


@pytest.mark.parametrize("word", ["byteOffset", "byteStride", "componentType"])
@pytest.mark.parametrize("value", ["3", [], {}, None, True], ids=json.dumps)
def test_accessor_with_a_value_of_another_type(word: str, value: object):
    """Whatever JSON holds there, it is no accessor, or the usual one."""
    accessor_rows({**SOUND, word: value}, {}, BUFFER)
    accessor_rows(SOUND, {word: value}, BUFFER)


@pytest.mark.skipif(os.name == "nt", reason="written for systems with links and pipes")
def test_what_lies_in_a_state_folder_is_an_ordinary_file_or_is_not_opened(tmp_path: Path) -> None:
    """Also behind a link to a folder; a path without a state folder above is its own."""
    state = tmp_path / ".primecoat"
    (state / "plans").mkdir(parents=True)
    (tmp_path / "mine.json").write_text("{}", encoding="utf-8")
    (state / "link.json").symlink_to(tmp_path / "mine.json")
    (state / "plans" / "whole.json").write_text('{"document": "kiln/1"}', encoding="utf-8")
    (state / "linked").symlink_to(state / "plans")
    os.mkfifo(state / "pipe.json")
    for name in ("link.json", "linked/whole.json"):
        with pytest.raises(InputError, match=r"is a link\. Remove it"):
            read_state(state / name)
    for name in ("pipe.json", "plans"):
        with pytest.raises(InputError, match="is no ordinary file"):
            read_state(state / name)
    assert read_state(state / "none.json") is None
    assert load_state(state / "none.json", "kiln/1") is None
    assert load_state(state / "plans" / "whole.json", "kiln/1") == {"document": "kiln/1"}
    assert read_state(tmp_path / "mine.json") == b"{}"


def test_a_state_file_that_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No rights, no text, too large: one line that names it."""
    file = tmp_path / ".primecoat" / "a.json"
    file.parent.mkdir()
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match=r"a\.json: it is not UTF-8 text"):
        load_state(file, "kiln/1")
    with monkeypatch.context() as patched:
        patched.setenv("PRIMECOAT_MOST_SCENE_BYTES", "1")
        with pytest.raises(InputError, match="has 2 bytes, more than the 1"):
            read_state(file)
    denied = PermissionError(13, "Permission denied")
    monkeypatch.setattr(Path, "read_bytes", lambda _: (_ for _ in ()).throw(denied))
    with pytest.raises(InputError, match=r"a\.json: Permission denied"):
        read_state(file)


def test_state_is_read_line_by_line(tmp_path: Path):
    state = tmp_path / ".primecoat"
    state.mkdir()
    file = state / "lines.jsonl"
    assert list(state_lines(file)) == []
    file.write_bytes(b"[1]\n[2]\n[3]")
    assert list(state_lines(file)) == [b"[1]\n", b"[2]\n", b"[3]"]
    file.write_bytes(b"[1]\n" + b"0" * LONGEST_LINE + b"\n[2]\n")
    assert list(state_lines(file)) == [b"[1]\n"]
    (state / "link.jsonl").symlink_to(file)
    with pytest.raises(InputError, match="is a link"):
        list(state_lines(state / "link.jsonl"))
    with pytest.raises(InputError, match="no ordinary file"):
        list(state_lines(state))


def test_state_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    file = tmp_path / "lines.jsonl"
    file.write_bytes(b"[1]\n")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError, match=r"Cannot read .*lines.jsonl: Permission denied\."):
        list(state_lines(file))


def test_a_path_that_can_be_pasted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    assert pasteable(tmp_path / "tea set" / "cup.usda") == "'tea set/cup.usda'"
    assert pasteable(tmp_path / "-tea.usda") == "./-tea.usda"
    assert pasteable(Path("/pottery/tea.usda")) == "/pottery/tea.usda"
