"""Simple corrections written down by hand: one number or three, or the points of a curve."""

from __future__ import annotations

import csv
import re
import sys
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import InputError
from primecoat.location import printable
from primecoat.renders.corrections.model import Run

CDL_LUMA: Final = (0.2126, 0.7152, 0.0722)
"""Weights of red, green and blue in a saturation: those of ASC CDL v1.2, whatever the space."""

MOST_TOML: Final = 2**21
"""Characters; a curve of 100,000 points has fewer, and the reader takes about a second for it."""

_QUOTED: Final = re.compile(
    r'''"""[^"\\]*+(?:(?:\\.|"(?!""))[^"\\]*+)*+(?:""")?|"(?:[^"\\\n]++|\\[^\n])*+"?'''
    r"""|'''[^']*+(?:'(?!'')[^']*+)*+(?:''')?|'[^'\n]*+'?|\#[^\n]*+""",
    re.DOTALL,
)
"""A text in quotes, to its end or as far as it goes, or a remark; in a time as long as the text."""

_LONG_KEY: Final = re.compile(r"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){16}")
"""Names joined by dots; the reader's time grows with the square of their number."""

_LARGEST: Final = sys.float_info.max

Values = NDArray[np.floating]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One entry: what it does, or the file that says it.

    Parameters
    ----------
    place
        Where it stands in its file, in words.
    name
        What it is, in words.
    run
        What it does to numbers; None if a file says it.
    file
        CDL or look-up file, relative to that of the entry.
    space, gives
        Spaces of the numbers that go in and come out, if they are said.
    clamp
        Whether CDL numbers clamp, if it is said.
    """

    place: str
    name: str
    run: Run | None = None
    file: str | None = None
    space: str | None = None
    gives: str | None = None
    clamp: bool | None = None


def read_toml(text: str, path: Path) -> tuple[Entry, ...]:
    r"""Return the entries of a TOML text: tables ``[[correction]]``, and maybe a ``space`` before.

    Raises
    ------
    InputError
        If it is not such a text.

    Examples
    --------
    >>> text = 'space = "lin_rec709_scene"\n[[correction]]\nexposure = 1'
    >>> [entry] = read_toml(text, Path("old.toml"))
    >>> entry.name, entry.space, entry.run(np.full((1, 3), 0.25)).tolist()
    ('exposure 1', 'lin_rec709_scene', [[0.5, 0.5, 0.5]])
    """
    _refuse_slow(text, path)
    try:
        found = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(f"Cannot read {path}: it is not valid TOML ({error}).", "") from error
    tables = found.pop("correction", None)
    shared: dict[str, Any] = {key: found.pop(key) for key in _SHARED if key in found}
    if not isinstance(tables, list) or not tables or found:
        what = f"{_shown(', '.join(found))} besides" if found else "none"
        raise InputError(
            f"{path} must hold corrections: {what} was found.",
            "Write each under [[correction]], and above them at most space, gives and clamp.",
        )
    return tuple(
        _entry({**shared, **table}, path, f"correction {number}")
        for number, table in enumerate(tables, 1)
    )


def _refuse_slow(text: str, path: Path) -> None:
    """Refuse a text that the TOML reader would be at for long."""
    if len(text) > MOST_TOML:
        raise InputError(
            f"{path} has {len(text)} characters, more than the {MOST_TOML} that are read of "
            "corrections in TOML.",
            "Write them in several files, or a long curve as a look-up file.",
        )
    if _LONG_KEY.search(_QUOTED.sub("q", text)):  # a name in quotes is one word, dots or not
        raise InputError(
            f"Cannot read {path}: more than 16 words are joined by dots in it, which no "
            "correction needs.",
            "Take the dots out.",
        )


def read_csv(text: str, path: Path) -> tuple[Entry, ...]:
    r"""Return the entries of a CSV text with the columns correction, value, and maybe others.

    Raises
    ------
    InputError
        If it is not such a text.

    Examples
    --------
    >>> [entry] = read_csv("correction,value,space\ngain,1.2 1 0.8,ACEScg\n", Path("old.csv"))
    >>> entry.name, entry.space
    ('gain 1.2 1 0.8', 'ACEScg')
    """
    try:
        found = _rows(text, path)
    except csv.Error as error:
        raise InputError(f"Cannot read {path}: it is no CSV ({error}).", "") from error
    if not found:
        raise InputError(f"{path} holds no correction.", "Write one a line.")
    return tuple(found)


def _rows(text: str, path: Path) -> list[Entry]:
    rows = csv.DictReader(text.splitlines(), skipinitialspace=True)
    names = [name.strip() for name in rows.fieldnames or ()]
    rows.fieldnames = names
    if not {"correction", "value"} <= set(names):
        raise InputError(
            f"{path} lacks the columns correction and value; it has: {', '.join(names)}.",
            "Write them in the first line, such as: correction,value,space",
        )
    found = []
    for row in rows:
        place = f"line {rows.line_num}"
        cells = {k: v.strip() for k, v in row.items() if isinstance(v, str) and v.strip()}
        if not cells:
            continue
        kind, value = cells.pop("correction", ""), cells.pop("value", "")
        stated: dict[str, Any] = dict(cells)
        if "clamp" in stated:
            stated["clamp"] = {"yes": True, "no": False}.get(cells["clamp"], cells["clamp"])
        stated[kind] = value if kind == "file" else _numbers(kind, value, path, place)
        found.append(_entry(stated, path, place))
    return found


def _numbers(kind: str, value: str, path: Path, place: str) -> Any:
    try:
        if kind == "points":
            return [[float(x) for x in point.split()] for point in value.split(";")]
        return [float(x) for x in value.split()]
    except ValueError as error:
        raise _wrong(path, place, f"{kind} {value!r}", "numbers with spaces between") from error


_MOST_SHOWN: Final = 200
_SHARED: Final = ("space", "gives", "clamp")
_BESIDES: Final = {*_SHARED, "name", "beyond"}


def _entry(table: Mapping[str, Any], path: Path, place: str) -> Entry:
    kinds = [key for key in table if key not in _BESIDES]
    if len(kinds) != 1 or kinds[0] not in (*_KINDS, "points", "file"):
        found = ", ".join(kinds) or "none"
        raise _wrong(path, place, found, f"one of {', '.join((*_KINDS, 'points', 'file'))}")
    kind = kinds[0]
    value, clamp = table[kind], table.get("clamp")
    for key in ("space", "gives", "name"):
        if not isinstance(table.get(key, ""), str):
            raise _wrong(path, place, f"{key} {table[key]!r}", "words in quotes")
    if clamp is not None and not isinstance(clamp, bool):
        raise _wrong(path, place, f"clamp {clamp!r}", "true or false (in a CSV yes or no)")
    if "beyond" in table and kind != "points":
        raise _wrong(path, place, "beyond", f"it at points only, not at {kind}")
    run: Run | None = None
    file: str | None = None
    if kind == "file":
        if not isinstance(value, str):
            raise _wrong(path, place, f"file {value!r}", "a file name")
        name, file = value, value
    elif kind == "points":
        run = _curve(_points(value, path, place), table.get("beyond"), path, place)
        name = f"curve of {len(value)} points"
    else:
        numbers = _one_or_three(kind, value, path, place)
        run = _KINDS[kind](np.array(numbers, dtype=np.float64))
        name = f"{kind} {' '.join(f'{number:g}' for number in numbers)}"
    return Entry(
        place=place,
        name=f"{table['name']} ({name})" if table.get("name") else name,
        run=run,
        file=file,
        space=table.get("space"),
        gives=table.get("gives"),
        clamp=clamp,
    )


def _one_or_three(kind: str, value: Any, path: Path, place: str) -> list[float]:
    numbers = value if isinstance(value, list) else [value]
    allowed = {"saturation": (1,), "white_balance": (3,)}.get(kind, (1, 3))
    if len(numbers) not in allowed or not all(_is_number(number) for number in numbers):
        wanted = " or ".join({1: "one number", 3: "three numbers"}[count] for count in allowed)
        raise _wrong(path, place, f"{kind} {value!r}", wanted)
    if kind == "power" and min(numbers) <= 0:
        raise _wrong(path, place, f"power {value!r}", "a power above 0")
    return [float(number) for number in numbers]


def _points(value: Any, path: Path, place: str) -> Values:
    sound = isinstance(value, list) and all(
        isinstance(point, list) and len(point) == 2 and all(map(_is_number, point))
        for point in value
    )
    points = np.array(value, dtype=np.float64) if sound and len(value) > 1 else None
    if points is None or (np.diff(points[:, 0]) <= 0).any():
        raise _wrong(
            path,
            place,
            f"points {value!r}",
            "two or more [in, out], in rising from one to the next",
        )
    return points


def _curve(points: Values, beyond: Any, path: Path, place: str) -> Run:
    """Return straight lines between points, which beyond them go on or stay level."""
    if beyond not in ("hold", "extend"):
        raise _wrong(
            path,
            place,
            "no word on what the curve does beyond its points"
            if beyond is None
            else f"beyond {beyond!r}",
            'beyond = "hold" (it stays level) or "extend" (its last lines go on)',
        )
    x, y = points.T

    def run(values: Values) -> Values:
        out = np.asarray(np.interp(values, x, y), dtype=np.float64)
        if beyond == "extend":
            first, last = np.diff(y)[[0, -1]] / np.diff(x)[[0, -1]]
            out = np.where(values < x[0], y[0] + first * (values - x[0]), out)
            out = np.where(values > x[-1], y[-1] + last * (values - x[-1]), out)
        return out

    return run


def _power(power: Values) -> Run:
    return lambda values: np.asarray(np.sign(values) * np.abs(values) ** power)


def _saturation(saturation: Values) -> Run:
    def run(values: Values) -> Values:
        luma = np.asarray(values, dtype=np.float64) @ np.array(CDL_LUMA)
        return np.asarray(luma[..., None] + saturation * (values - luma[..., None]))

    return run


_KINDS: Final[dict[str, Callable[[Values], Run]]] = {
    "gain": lambda gain: lambda values: np.asarray(values * gain),
    "white_balance": lambda gains: lambda values: np.asarray(values * gains),
    "exposure": lambda stops: lambda values: np.asarray(values * np.exp2(stops)),
    "offset": lambda offset: lambda values: np.asarray(values + offset),
    "power": _power,
    "saturation": _saturation,
}


def _is_number(value: Any) -> bool:
    """Whether this is a number that float64 can hold; whole ones in TOML have no end."""
    return type(value) in (int, float) and abs(value) <= _LARGEST


def _wrong(path: Path, place: str, found: str, wanted: str) -> InputError:
    return InputError(f"{path}, {place}: found {_shown(found)}.", f"It must be {wanted}.")


def _shown(words: str) -> str:
    return printable(words if len(words) <= _MOST_SHOWN else f"{words[:_MOST_SHOWN]}...")
