"""Attributes of XML are changed where they stand, and no other byte."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from primecoat.errors import InputError, RefusedError
from primecoat.scenes.xml_span import DEEPEST, edit_attributes, parse

SPACES = st.text(alphabet=" \t\n\r", min_size=1, max_size=3)
PADS = st.text(alphabet=" \t\n", max_size=2)
VALUES = st.text(
    alphabet=st.sampled_from("aZ09 .,<>&\"'=/\t\n\r\u00e9\u8336\U0001f375"), max_size=12
)
NAMES = ("v", "type", "xml:lang", "colorspace", "file-name", "_x.1")


def written(value: str, quote: str) -> str:
    for character, reference in (
        ("&", "&amp;"),
        ("<", "&lt;"),
        (quote, "&#x22;" if quote == '"' else "&#39;"),
    ):
        value = value.replace(character, reference)
    return re.sub(r"[\t\n\r]", lambda m: f"&#{ord(m[0])};", value)


@st.composite
def tags(draw):
    """A start tag with attributes in any order, quotes and spacing, and what they say."""
    names = draw(st.lists(st.sampled_from(NAMES), unique=True))
    text, said = "<node", {}
    for name in ("name", *names):
        value = "n" if name == "name" else draw(VALUES)
        quote = draw(st.sampled_from("\"'"))
        text += (
            f"{draw(SPACES)}{name}{draw(PADS)}={draw(PADS)}{quote}{written(value, quote)}{quote}"
        )
        said[name] = value
    return text + draw(PADS) + draw(st.sampled_from(["/>", "></node>"])), said


def attributes(data: bytes) -> dict[str, str]:
    """Return the attributes of the only child, read by the standard library."""
    return dict(ElementTree.fromstring(data)[0].attrib)


def plain(name: str) -> str:
    return name.replace("xml:", "{http://www.w3.org/XML/1998/namespace}")


@example(('<node name="n" v=""/>', {"name": "n", "v": ""}), "type", "", "utf-8")
@example(('<node name="n" v=""/>', {"name": "n", "v": ""}), "v", "0", "utf-8")
@given(
    tags(),
    st.sampled_from(NAMES),
    VALUES,
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]),
)
def test_only_one_attribute_changes(tag, name, new, encoding):
    """In any layout and encoding one attribute gets its value; all else stays, byte for byte."""
    text, said = tag
    head = '<?xml version="1.0" encoding="ISO-8859-1"?>' if encoding == "latin-1" else ""
    around = (f'{head}<!-- <node name="n" v=""/> --><a>\r\n', "<![CDATA[<node name='n'>]]></a>\r\n")
    if encoding == "latin-1":
        text = text.encode("latin-1", "xmlcharrefreplace").decode("latin-1")
    data = (around[0] + text + around[1]).encode(encoding)
    changed = edit_attributes(parse(data, "s.xml"), [("/n", name, new)])
    expected = {plain(k): v for k, v in said.items()} | {plain(name): new}
    assert attributes(changed) == expected
    old, fresh = (b.decode(encoding) for b in (data, changed))
    match = re.search(rf"(?s)(\s{re.escape(name)}\s*=\s*)(\"[^\"]*\"|'[^']*')", text)
    at = len(around[0])  # not the first such text: the comment may hold the same
    if match:
        assert fresh.startswith(old[: at + match.end(1) + 1])
        assert fresh.endswith(old[at + match.end(2) - 1 :])
    else:
        tail = re.search(r"\s*(/>|></node>)\Z", text)
        assert tail
        assert fresh.startswith(old[: at + tail.start()] + f' {name}="')
        assert fresh.endswith('"' + old[at + tail.start() :])


@given(tags(), st.sampled_from(NAMES), VALUES)
def test_an_added_attribute_is_taken_away_byte_for_byte(tag, name, new):
    text, said = tag
    if name in said:
        return
    data = f"<a>{text}</a>".encode()
    added = edit_attributes(parse(data, "s.xml"), [("/n", name, new)])
    assert edit_attributes(parse(added, "s.xml"), [("/n", name, None)]) == data


def test_several_changes_at_once():
    data = b'<a s="1"><b name="x" v="2"/><b name="y"><c name="x"  v = "3"/></b></a>'
    changes = [("/y/x", "v", "33"), ("/", "s", None), ("/x", "w", "n"), ("/x", "v", "")]
    expected = b'<a><b name="x" v="" w="n"/><b name="y"><c name="x"  v = "33"/></b></a>'
    assert edit_attributes(parse(data, "s.xml"), changes) == expected
    assert edit_attributes(parse(data, "s.xml"), changes[::-1]) == expected


def test_taking_away_what_is_not_there_changes_nothing():
    data = b'<a><b name="x"/></a>'
    assert edit_attributes(parse(data, "s.xml"), [("/x", "v", None)]) == data


def test_of_elements_with_one_name_the_first_counts():
    text = parse(b'<a><b name="x"/><b name="x"><c name="y"/></b><b><c name="z"/></b></a>', "s.xml")
    assert set(text.by_path) == {"/", "/x"}
    assert text.repeated == ("/x",)
    assert text.tag("/x").attributes == {"name": "x"}
    with pytest.raises(InputError, match="/x/y"):
        text.tag("/x/y")


def test_inherited_takes_the_nearest():
    text = parse(b'<a s="1"><b name="x" s="2"><c name="y"/></b><d name="z"/></a>', "s.xml")
    assert [text.inherited(p, "s") for p in ("/x/y", "/x", "/z", "/")] == ["2", "2", "1", "1"]
    assert text.inherited("/x/y", "t") is None


def test_one_attribute_twice_is_refused():
    with pytest.raises(RefusedError, match="twice"):
        edit_attributes(parse(b"<a/>", "s.xml"), [("/", "v", "1"), ("/", "v", "2")])


def test_characters_that_the_encoding_lacks_become_references():
    data = '<?xml version="1.0" encoding="iso-8859-1"?><a v="é"/>'.encode("latin-1")
    changed = edit_attributes(parse(data, "s.xml"), [("/", "v", "é茶")])
    assert changed == data.replace(b'"\xe9"', b'"\xe9&#33590;"')


LAUGHS = b"<!DOCTYPE a [<!ENTITY l0 'ha'>" + b"".join(
    b"<!ENTITY l%d '%s'>" % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, 10)
)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no element found"),
        (b"<a>", "no element found"),
        (b"<a><b></a>", "mismatched tag"),
        (b"<a v='1' v='2'/>", "duplicate attribute"),
        (b"<a>&nobody;</a>", "undefined entity"),
        (LAUGHS + b"]><a>&l9;</a>", "document type"),
        (b"<!DOCTYPE a SYSTEM 'file:///etc/passwd'><a/>", "document type"),
        (b"<!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><a>&x;</a>", "document type"),
        (b"<a>" * (DEEPEST + 1) + b"</a>" * (DEEPEST + 1), "inside one another"),
        (b"<a>" * 1_000_000, "inside one another"),
        (b"\xff\xfe<", "text"),
        (b"<a v='\xff'/>", "no utf-8 text"),
        (b'<?xml version="1.0" encoding="windows-1252"?><a/>', "windows-1252"),
        (b"\x00\x01", "well-formed"),
    ],
)
def test_hostile_or_broken_text_is_one_clear_error(data: bytes, words: str):
    with pytest.raises(InputError, match=words):
        parse(data, "s.xml")


def test_as_deep_as_allowed():
    assert len(parse(b"<a>" * DEEPEST + b"</a>" * DEEPEST, "s.xml").tags) == DEEPEST
