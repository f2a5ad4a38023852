"""Names that a file rule's glob pattern or regular expression was written for.

Only the common part of both languages is understood. What is made here is never trusted: every
name is put to OpenColorIO's own rule before it counts.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

FILLS: Final = ("", "tea", "bowl_01", "pottery/cup", "Glaze")
"""What stands for any run of characters."""

MOST: Final = 300
"""Most names made for one rule; more alternatives get more names."""

Make = Callable[[random.Random], str]


class _NotUnderstoodError(Exception):
    """The pattern uses something that is not read here."""


@dataclass(slots=True)
class _Reader:
    """A place in a regular expression."""

    text: str
    at: int = 0
    branches: int = 0

    def peek(self) -> str:
        return self.text[self.at : self.at + 1]

    def take(self) -> str:
        found = self.peek()
        if not found:
            raise _NotUnderstoodError
        self.at += 1
        return found


def samples(*, pattern: str, extension: str, regex: str) -> tuple[str, ...]:
    r"""Return names that a rule may have been written for; the same at every call.

    Examples
    --------
    >>> sorted(samples(pattern="", extension="", regex=r".*_(raw|data)\.exr"))[:3]
    ['Glaze_data.exr', 'Glaze_raw.exr', '_data.exr']
    >>> sorted(samples(pattern="*_raw", extension="exr", regex=""))[:2]
    ['Glaze_raw.exr', '_raw.exr']
    """
    try:
        if regex:
            reader = _Reader(regex)
            make = _alternatives(reader)
            if reader.peek():
                return ()
        else:
            reader = _Reader(pattern)
            stem = _glob(reader)
            ending = _glob(_Reader("png" if extension == "*" else extension))
            make = _joined([stem, _fixed("."), ending])
    except _NotUnderstoodError:
        return ()
    chance = random.Random(4)
    count = min(MOST, 30 + 8 * reader.branches)
    return tuple(dict.fromkeys(make(chance) for _ in range(count)))


def _fixed(text: str) -> Make:
    return lambda _: text


def _one_of(makes: list[Make]) -> Make:
    return lambda chance: chance.choice(makes)(chance)


def _joined(makes: list[Make]) -> Make:
    return lambda chance: "".join(make(chance) for make in makes)


def _any_text(chance: random.Random) -> str:
    return chance.choice(FILLS)


def _glob(reader: _Reader) -> Make:
    parts: list[Make] = []
    while reader.peek():
        sign = reader.take()
        if sign == "*":
            parts.append(_any_text)
        elif sign == "?":
            parts.append(_fixed("a"))
        elif sign == "[":
            parts.append(_class(reader))
        else:
            parts.append(_fixed(sign))
    return _joined(parts)


def _alternatives(reader: _Reader) -> Make:
    found = [_sequence(reader)]
    while reader.peek() == "|":
        reader.take()
        found.append(_sequence(reader))
    reader.branches += len(found) if len(found) > 1 else 0
    return _one_of(found)


def _sequence(reader: _Reader) -> Make:
    parts: list[Make] = []
    while reader.peek() not in ("", "|", ")"):
        sign = reader.take()
        if sign in "^$":
            continue
        any_sign = sign == "."
        parts.append(_repeated(reader, _atom(reader, sign), any_sign))
    return _joined(parts)


def _atom(reader: _Reader, sign: str) -> Make:
    if sign == ".":
        return _fixed("a")
    if sign == "(":
        if reader.peek() == "?":
            reader.take()
            if reader.take() != ":":
                raise _NotUnderstoodError  # looks ahead
        inner = _alternatives(reader)
        if reader.take() != ")":
            raise _NotUnderstoodError
        return inner
    if sign == "[":
        return _class(reader)
    if sign == "\\":
        return _fixed(_escaped(reader.take()))
    if sign in "*+?{":
        raise _NotUnderstoodError
    return _fixed(sign)


def _escaped(sign: str) -> str:
    if sign.isalnum():
        try:
            return {"d": "1", "w": "a", "s": " ", "D": "a", "S": "a", "W": "-"}[sign]
        except KeyError:
            raise _NotUnderstoodError from None
    return sign


def _class(reader: _Reader) -> Make:
    negated = reader.peek() in ("^", "!")
    if negated:
        reader.take()
    members: list[str] = []
    while reader.peek() != "]":
        sign = reader.take()
        members.append(_escaped(reader.take()) if sign == "\\" else sign)
    reader.take()
    if negated:
        members = [c for c in "atz09_-." if c not in members]
    if not members:
        raise _NotUnderstoodError
    return _one_of([_fixed(member) for member in members if member != "-" or len(members) == 1])


def _repeated(reader: _Reader, make: Make, any_sign: bool) -> Make:
    sign = reader.peek()
    if sign not in ("*", "+", "?", "{"):
        return make
    reader.take()
    if sign == "{":
        digits = ""
        while (digit := reader.take()) != "}":
            digits += digit
        least = digits.split(",")[0]
        if not least.isdigit() or int(least) > 64:
            raise _NotUnderstoodError
        made = _joined([make] * int(least))
    elif any_sign and sign != "?":
        made = _one_of([_fixed(fill) for fill in FILLS if fill or sign == "*"])
    elif sign == "+":
        made = make
    else:
        made = _one_of([make, _fixed("")])
    if reader.peek() == "?":
        reader.take()  # as few as possible: the same names
    return made
