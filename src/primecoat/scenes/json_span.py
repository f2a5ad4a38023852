"""Where a value stands in a JSON text, so that one value can be changed and no other byte."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

from primecoat.errors import InputError

_SPACE = re.compile(r"[ \t\n\r]*")
_STRING = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"', re.DOTALL)
_SCALAR = re.compile(r"[^\s,\]}]+")


def member_spans(text: str, pointers: Sequence[str]) -> list[tuple[int, int, int]]:
    """Return where members or elements stand: start of its key, of its value, and its end.

    Each container on the way is walked once.

    Parameters
    ----------
    text
        Valid JSON text.
    pointers
        JSON pointers (RFC 6901) such as ``/images/3/uri``.

    Returns
    -------
    list of tuple of int
        Offsets in characters. For an element of an array the first two are the same.

    Raises
    ------
    InputError
        If nothing stands at a pointer.

    Examples
    --------
    >>> text = '{"images": [{"uri": "cup.png"}]}'
    >>> ((key, start, end),) = member_spans(text, ["/images/0/uri"])
    >>> text[key:end], text[start:end]
    ('"uri": "cup.png"', '"cup.png"')
    """
    walked: dict[int, dict[str, tuple[int, int, int]]] = {}
    spans = []
    for pointer in pointers:
        start = _skip(text, 0)
        span = (start, start, -1)
        for part in (p.replace("~1", "/").replace("~0", "~") for p in pointer.split("/")[1:]):
            at = span[1]
            if at not in walked:
                walked[at] = _members(text, at)
            if part not in walked[at]:
                raise InputError(f"Nothing stands at {pointer} in the scene.", "Survey it again.")
            span = walked[at][part]
        spans.append((span[0], span[1], _end(text, span[1]) if span[2] < 0 else span[2]))
    return spans


def _members(text: str, start: int) -> dict[str, tuple[int, int, int]]:
    """Return the spans of all members or elements of the container at start, by name or index."""
    opening = text[start]
    found: dict[str, tuple[int, int, int]] = {}
    if opening not in "{[":
        return found
    at, index = _skip(text, start + 1), 0
    while text[at] not in "}]":
        key = at
        if opening == "{":
            key_end = _string_end(text, at)
            name = json.loads(text[at:key_end])
            at = _skip(text, _skip(text, key_end) + 1)
        else:
            name = str(index)
        end = _end(text, at)
        found[name] = key, at, end  # JSON parsers keep the last of two members with one name
        at = _skip(text, end)
        if text[at] == ",":
            at = _skip(text, at + 1)
        index += 1
    return found


def _end(text: str, start: int) -> int:
    """Return the end of the value that begins at start."""
    if text[start] == '"':
        return _string_end(text, start)
    if text[start] not in "{[":
        match = _SCALAR.match(text, start)
        return match.end() if match else start
    depth, at = 0, start
    while True:
        character = text[at]
        if character == '"':
            at = _string_end(text, at)
            continue
        depth += (character in "{[") - (character in "}]")
        at += 1
        if depth == 0:
            return at


def _string_end(text: str, start: int) -> int:
    match = _STRING.match(text, start)
    assert match is not None, "the whole text was read as JSON before"
    return match.end()


def _skip(text: str, at: int) -> int:
    match = _SPACE.match(text, at)
    return match.end() if match else at
