"""On which line of a TOML text a key stands, so that a refusal can say where to look."""

from __future__ import annotations

import re
import tomllib

_PART = r"""(?:"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)"""
_KEY = re.compile(rf"\s*({_PART}(?:\s*\.\s*{_PART})*)\s*=")
_TABLE = re.compile(rf"\s*\[({_PART}(?:\s*\.\s*{_PART})*)\]")


def line_of(text: str, path: tuple[str, ...]) -> int:
    r"""Return the number of the line, from 1, where a key or its table stands; 0 if none does.

    A line inside a string of several lines can be taken for a key: this is for messages only.

    Examples
    --------
    >>> line_of('to = "x"\n\n[slots]\n"*_nrm*" = "normal"', ("slots", "*_nrm*"))
    4
    """
    table: tuple[str, ...] = ()
    for number, line in enumerate(text.splitlines(), 1):
        if header := _TABLE.match(line):
            table = _keys(header[1])
            if table == path:
                return number
        elif (key := _KEY.match(line)) and (*table, *_keys(key[1])) == path:
            return number
    return 0


def _keys(written: str) -> tuple[str, ...]:
    """Return a dotted key in parts, as TOML itself reads it."""
    try:
        found = tomllib.loads(f"{written} = 0")
    except tomllib.TOMLDecodeError:
        return ()
    keys = []
    while isinstance(found, dict):
        [(key, found)] = found.items()
        keys.append(key)
    return tuple(keys)
