"""Spans of values in any JSON text."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from primecoat.errors import InputError
from primecoat.scenes.json_span import member_spans

SCALARS = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
DOCUMENTS = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=25,
)
LAYOUTS = st.sampled_from(
    [
        {},
        {"indent": 3},
        {"indent": "\t", "separators": (" ,", " : ")},
        {"ensure_ascii": False, "separators": (",", ":")},
        {"ensure_ascii": False, "separators": ("\r\n,\r\n", "\n:\n")},
    ]
)


def pointers(value: Any, at: str = "") -> list[tuple[str, Any]]:
    """Return every JSON pointer (RFC 6901) into a document, with the value it leads to."""
    found = [(at, value)]
    if isinstance(value, dict):
        for key, inner in value.items():
            found += pointers(inner, f"{at}/{key.replace('~', '~0').replace('/', '~1')}")
    if isinstance(value, list):
        for index, inner in enumerate(value):
            found += pointers(inner, f"{at}/{index}")
    return found


def replaced(value: Any, at: list[str], new: Any) -> Any:
    """Return a document with the value at a path replaced, worked out without any text."""
    if not at:
        return new
    key = at[0]
    if isinstance(value, dict):
        return value | {key: replaced(value[key], at[1:], new)}
    return [replaced(v, at[1:], new) if str(i) == key else v for i, v in enumerate(value)]


@settings(deadline=None)
@given(DOCUMENTS, LAYOUTS, st.sampled_from(["", " ", "\n\t "]))
def test_span_is_the_value(document: Any, layout: dict[str, Any], around: str):
    """At every pointer of any document the span parses to the very value that stands there."""
    text = around + json.dumps(document, **layout) + around
    for pointer, value in pointers(document):
        ((key, start, end),) = member_spans(text, [pointer])
        assert json.loads(text[start:end]) == value
        if key != start:
            name = pointer.rpartition("/")[2].replace("~1", "/").replace("~0", "~")
            assert json.loads("{" + text[key:end] + "}") == {name: value}


@settings(deadline=None)
@given(st.data(), DOCUMENTS, LAYOUTS, SCALARS)
def test_replacing_a_span(data: st.DataObject, document: Any, layout: dict[str, Any], new: Any):
    """A text whose span is replaced parses to the document with just that value changed."""
    text = json.dumps(document, **layout)
    pointer, _ = data.draw(st.sampled_from(pointers(document)))
    ((_, start, end),) = member_spans(text, [pointer])
    path = [p.replace("~1", "/").replace("~0", "~") for p in pointer.split("/")[1:]]
    changed = text[:start] + json.dumps(new) + text[end:]
    assert json.loads(changed) == replaced(document, path, new)


@pytest.mark.parametrize("pointer", ["/b", "/a/3", "/a/-1", "/a/01", "/a/0/x", "/c/d", "a"])
def test_pointer_to_nothing(pointer: str):
    """A pointer that leads nowhere is an error that names it; ``a`` without a slash is the root."""
    text = '{"a": [1, 2, "three"], "c": "d"}'
    if pointer == "a":
        assert member_spans(text, [pointer]) == [(0, 0, len(text))]
        return
    with pytest.raises(InputError, match=pointer):
        member_spans(text, [pointer])


def test_last_of_two_equal_names():
    """Of two members with one name the span is that of the last, as JSON readers take it."""
    text = '{"a": 1, "b": 2, "a": 3}'
    ((_, start, end),) = member_spans(text, ["/a"])
    assert text[start:end] == "3"
    assert json.loads(text)["a"] == 3


def test_long_string_before_the_place():
    """A picture of 20 MB as text before the place costs under a second of CPU time."""
    text = '{"images": [{"uri": "data:' + "A" * 20_000_000 + '"}, {"uri": "b.png"}]}'
    begun = time.process_time()
    ((_, start, end),) = member_spans(text, ["/images/1/uri"])
    assert text[start:end] == '"b.png"'
    assert time.process_time() - begun < 1.0
