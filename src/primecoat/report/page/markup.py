"""HTML by construction: a plain string is text and gets escaped; only markup passes as markup."""

from __future__ import annotations

import html
from collections.abc import Iterable

from primecoat.location import printable

_VOID = frozenset({"br", "col", "hr", "img", "meta"})


class Markup(str):
    """Text that is HTML already."""

    __slots__ = ()


Child = str | None
"""Markup, text (which gets escaped), or nothing."""


def text(plain: str) -> Markup:
    r"""Return text as HTML: control and direction-changing characters made visible, escaped.

    Examples
    --------
    >>> text("cup<1>\n.png")
    'cup&lt;1&gt;\\n.png'
    """
    return Markup(html.escape(printable(plain)))


def tag(name: str, *children: Child, **attributes: str | bool | None) -> Markup:
    """Return one element.

    Parameters
    ----------
    name
        Name of the element.
    children
        Markup as it is, other strings escaped, None left out.
    attributes
        A trailing underscore is dropped (``class_``), others become hyphens; True gives an
        attribute without a value, False and None give none.

    Examples
    --------
    >>> tag("a", "salt & <ash>", href="#one", class_="where")
    '<a href="#one" class="where">salt &amp; &lt;ash&gt;</a>'
    """
    start = name
    for key, value in attributes.items():
        written = key.rstrip("_").replace("_", "-")
        if value is True:
            start += f" {written}"
        elif value is not None and value is not False:
            start += f' {written}="{text(value)}"'
    return Markup(f"<{start}>" if name in _VOID else f"<{start}>{join(children)}</{name}>")


def join(children: Iterable[Child]) -> Markup:
    """Return children one after the other."""
    return Markup(
        "".join(c if isinstance(c, Markup) else text(c) for c in children if c is not None)
    )


def row(*cells: Child, head: bool = False) -> Markup:
    """Return a table row."""
    if head:
        return tag("tr", *(tag("th", cell, scope="col") for cell in cells))
    return tag("tr", *(tag("td", cell) for cell in cells))


def table(columns: tuple[str, ...], rows: Iterable[Markup], class_: str) -> Markup:
    """Return a table; its kind is said by its class."""
    return tag(
        "table",
        tag("thead", row(*columns, head=True)),
        tag("tbody", *rows),
        class_=class_,
    )


def folded(items: list[Markup], *, shown: int, more: str, within: str = "ul") -> Markup:
    """Return a list whose end is folded away if it is long.

    Parameters
    ----------
    items
        Elements of the list, each an ``li``.
    shown
        How many stay in sight; the list folds only if that hides more than one.
    more
        What the hidden ones are called.
    within
        Element that holds them.
    """
    if len(items) <= shown + 1:
        return tag(within, *items)
    rest = len(items) - shown
    return join(
        (
            tag(within, *items[:shown]),
            tag("details", tag("summary", f"{rest} more {more}"), tag(within, *items[shown:])),
        )
    )
