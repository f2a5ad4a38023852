"""The settings to enter by hand as tables, with a box to tick for each."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from primecoat.report.page.markup import Markup, row, table, tag
from primecoat.report.settings import Row

_TICK = tag("i", class_="tick")

_COLUMNS = {
    "images": ("", "owner and slot", "picture", "set to", "standing"),
    "colours": ("", "owner and slot", "numbers now", "enter"),
    "lights": ("", "owner and slot", "numbers now", "enter"),
    "check by hand": ("", "what", "why"),
}
_TITLES = {
    "images": "Pictures",
    "colours": "Colours",
    "lights": "Lights",
    "check by hand": "Check by hand",
}


def settings_tables(rows: Sequence[Row]) -> list[tuple[str, str, Markup]]:
    """Return for each kind of setting that there is its name, its title and its table."""
    return [
        (
            name,
            _TITLES[name],
            table(columns, (row(_TICK, *_CELLS[name](one)) for one in own), "settings"),
        )
        for name, columns in _COLUMNS.items()
        if (own := [one for one in rows if one["section"] == name])
    ]


def _image(one: Row) -> tuple[Markup | str, ...]:
    today = one["today"]
    return (
        _place(
            one, f"{one['slot']}, channels {one['channels']}" if one["channels"] else one["slot"]
        ),
        tag("span", one["path"], class_="path"),
        _stack(
            tag("b", tag("code", one["space"])),
            tag("small", "read today as ", tag("code", today)) if today else None,
        ),
        one["standing"],
    )


def _colour(one: Row) -> tuple[Markup | str, ...]:
    enter = tag("b", one["working"]) if one["working"] else tag("em", "not known yet")
    note = tag("small", one["note"]) if one["note"] else None
    now = _stack(tag("span", one["value"]), tag("small", tag("code", one["space"])), note)
    return _place(one, one["slot"]), now, enter


def _place(one: Row, slot: str) -> Markup:
    owner = one["owner"]
    return _stack(tag("b", owner, class_="path") if owner else None, tag("span", slot))


def _stack(*lines: Markup | None) -> Markup:
    return tag("span", *lines, class_="stack")


def _by_hand(one: Row) -> tuple[Markup | str, ...]:
    return tag("b", one["owner"], class_="path"), f"{one['note']}."


_CELLS: dict[str, Callable[[Row], tuple[Markup | str, ...]]] = {
    "images": _image,
    "colours": _colour,
    "lights": _colour,
    "check by hand": _by_hand,
}
