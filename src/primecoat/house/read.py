"""Read ``primecoat.toml``; every refusal says what was found, on which line, and what to do."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from primecoat.colour.ids import NAMES, READINGS, SCENE_SPACES, SPACES, reading_named
from primecoat.documents import read_text
from primecoat.errors import InputError
from primecoat.findings import CATALOGUE
from primecoat.house.conventions import House
from primecoat.house.toml_lines import line_of
from primecoat.scenes.model import SLOTS

WORKING_SPACES = tuple(space for space in SCENE_SPACES if SPACES[space].linear)
ROUTES = ("tag", "declare", "bake")
TOKEN = "[A-Za-z0-9]+([_-][A-Za-z0-9]+)*"
"""What a token of a house looks like, as a regular expression."""

TOP_KEYS = ("from", "to", "config", "roots", "tokens", "slots", "policy")
POLICY_KEYS = ("route", "closes_gate")

_TYPES: dict[type, str] = {
    str: "a text",
    bool: "true or false",
    int: "a number",
    float: "a number",
    list: "a list",
    dict: "a table",
}


@dataclass(frozen=True, slots=True)
class _Reader:
    """One file while it is read."""

    file: Path
    text: str
    named: bool

    def refused(self, path: tuple[str, ...], found: str, remedy: str) -> InputError:
        line = line_of(self.text, path)
        place = f"{self.file}, line {line}" if line else f"{self.file}"
        return InputError(f"{place}: {found}.", remedy)

    def known(self, table: Mapping[str, Any], keys: Sequence[str], above: tuple[str, ...]) -> None:
        """Refuse a key that there is not."""
        for key in table:
            if key not in keys:
                where = f"in [{'.'.join(above)}]" if above else "at the top"
                raise self.refused(
                    (*above, key), f"there is no key {key!r} {where}", _instead(key, keys)
                )

    def typed(self, value: Any, kind: type, wanted: str, path: tuple[str, ...]) -> Any:
        """Return a value that is of a type; refuse any other."""
        if type(value) is not kind:
            found = _TYPES.get(type(value), "a date or time")
            shown = "" if isinstance(value, (list, dict)) else f" ({value})"
            raise self.refused(
                path, f"{path[-1]!r} is {found}{shown}, where {_TYPES[kind]} belongs", wanted
            )
        return value

    def texts(self, value: Any, wanted: str, path: tuple[str, ...]) -> list[str]:
        return [
            self.typed(item, str, wanted, path) for item in self.typed(value, list, wanted, path)
        ]

    def one_of(
        self, value: Any, words: Sequence[str], what: str, path: tuple[str, ...],
        named: Callable[[str], str | None] = lambda word: word,
    ) -> str:  # fmt: skip
        """Return one of some words, which may go by other names."""
        text = self.typed(value, str, f"Name {what}: one of {', '.join(words)}.", path)
        meant = named(text)
        if meant is None or meant not in words:
            raise self.refused(path, f"{text!r} is no {what}", _instead(text, words))
        return meant


def read_house(file: Path, *, named: bool) -> House:
    """Return the conventions in a file.

    Parameters
    ----------
    file
        The file, absolute.
    named
        Whether the user named it. One that was only found speaks for its own folder alone: roots
        and a config file must lie in it.

    Raises
    ------
    InputError
        If it cannot be read, or anything in it cannot be understood.
    """
    text = read_text(file)
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(
            f"Cannot read {file}: it is not valid TOML ({error}).", "Mend it, or use --house none."
        ) from error
    reader = _Reader(file, text, named)
    reader.known(document, TOP_KEYS, ())
    policy = reader.typed(
        document.get("policy", {}), dict, "Write [policy] and its keys under it.", ("policy",)
    )
    reader.known(policy, POLICY_KEYS, ("policy",))
    route = policy.get("route")
    return House(
        file=file,
        named=named,
        from_space=_space(reader, document, "from"),
        to_space=_space(reader, document, "to"),
        config=_config(reader, document),
        roots=_roots(reader, document),
        tokens=_tokens(reader, document),
        slots=_slots(reader, document),
        route=None if route is None else reader.one_of(route, ROUTES, "route", ("policy", "route")),
        closes_gate=_codes(reader, policy),
    )


def _space(reader: _Reader, document: Mapping[str, Any], key: str) -> str | None:
    if key not in document:
        return None
    return reader.one_of(document[key], WORKING_SPACES, "working space", (key,), reading_named)


def _config(reader: _Reader, document: Mapping[str, Any]) -> str | None:
    if "config" not in document:
        return None
    path = ("config",)
    remedy = "Give the full name of a built-in config, or a file relative to this one."
    name: str = reader.typed(document["config"], str, remedy, path)
    if not name.endswith(".ocio"):
        return name
    file = Path(os.path.abspath(reader.file.parent / name))
    if not file.is_file():
        raise reader.refused(path, f"there is no config file {file}", remedy)
    _stay_inside(reader, file, path)
    return str(file)


def _roots(reader: _Reader, document: Mapping[str, Any]) -> tuple[Path, ...]:
    path = ("roots",)
    remedy = 'Give a list of folders relative to this file, such as roots = ["."].'
    roots = []
    for name in reader.texts(document.get("roots", []), remedy, path):
        folder = Path(os.path.abspath(reader.file.parent / name))
        if not folder.is_dir():
            raise reader.refused(path, f"there is no folder {folder}", remedy)
        _stay_inside(reader, folder, path)
        roots.append(folder)
    return tuple(roots)


def _stay_inside(reader: _Reader, place: Path, path: tuple[str, ...]) -> None:
    """Refuse a place outside the folder of a file that nobody named."""
    own = reader.file.parent.resolve()
    if not reader.named and not place.resolve().is_relative_to(own):
        raise reader.refused(
            path,
            f"{place} lies outside the folder of this file, which was found and not named",
            f"If you trust it, name it: --house {reader.file}; else leave it out: --house none.",
        )


def _tokens(reader: _Reader, document: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    remedy = 'Write [tokens], and under it lines such as texcol = "srgb_rec709_scene".'
    table = reader.typed(document.get("tokens", {}), dict, remedy, ("tokens",))
    tokens: dict[str, str] = {}
    for token, value in table.items():
        path = ("tokens", token)
        if not re.fullmatch(TOKEN, token, re.ASCII):
            raise reader.refused(
                path,
                f"{token!r} is no token",
                "Use letters and digits, in parts joined by _ or -.",
            )
        reading = reader.one_of(value, READINGS, "reading", path, reading_named)
        meant = NAMES.get(token.lower(), reading)
        if meant != reading:
            raise reader.refused(
                path, f"{token!r} is everybody's name for {meant}", "Use another word for yours."
            )
        if tokens.setdefault(token.lower(), reading) != reading:
            raise reader.refused(path, f"{token!r} stands here twice", "Keep one of the two.")
    return tuple(tokens.items())


def _slots(reader: _Reader, document: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    remedy = 'Write [slots], and under it lines such as "*_nrm" = "normal".'
    table = reader.typed(document.get("slots", {}), dict, remedy, ("slots",))
    slots = []
    for pattern, value in table.items():
        path = ("slots", pattern)
        if not pattern.strip("*?") or "/" in pattern or "\\" in pattern:
            raise reader.refused(
                path,
                f"{pattern!r} is no pattern for the name of a picture",
                'Write part of a name with * for the rest, without folders, such as "*_nrm".',
            )
        slots.append((pattern.lower(), reader.one_of(value, SLOTS, "slot", path)))
    return tuple(slots)


def _codes(reader: _Reader, policy: Mapping[str, Any]) -> tuple[str, ...]:
    path = ("policy", "closes_gate")
    remedy = 'Give a list of codes of findings, such as ["PC310"].'
    codes = reader.texts(policy.get("closes_gate", []), remedy, path)
    return tuple(reader.one_of(code, tuple(CATALOGUE), "code of a finding", path) for code in codes)


def _instead(word: str, words: Sequence[str]) -> str:
    by_name = {known.lower(): known for known in words}
    near = get_close_matches(word.lower(), by_name, n=1, cutoff=0.5)
    if near:
        return f"Did you mean {by_name[near[0]]!r}?"
    return f"Use one of: {', '.join(words)}." if len(words) < 30 else "Check how it is written."
