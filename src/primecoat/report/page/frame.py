"""The frame of a page: head, style, shapes, heading, foot."""

from __future__ import annotations

from importlib.resources import files
from string import Template

from primecoat.report.page.markup import Markup, tag, text
from primecoat.report.versions import versions

_FOLDER = files("primecoat.report") / "page"


def frame(*, title: str, kicker: str, body: Markup, more_style: str = "") -> str:
    """Return a whole page that needs nothing from outside.

    Parameters
    ----------
    title
        Name of what the page is about.
    kicker
        What kind of page it is.
    body
        Everything between heading and foot.
    more_style
        Rules after the common ones; nothing from the scene may stand in them.
    """
    template = Template(_read("page.html"))
    return template.substitute(
        title=text(title),
        kicker=text(kicker),
        style=f"{_read('page.css')}\n{more_style}".strip(),
        marks=_read("marks.svg"),
        body=body,
        version=text(versions()["primecoat"]),
    )


def section(anchor: str, question: str, *children: str | None) -> Markup:
    """Return one part of a page under its question."""
    return tag("section", tag("h2", question), *children, id=anchor)


def _read(name: str) -> str:
    return (_FOLDER / name).read_text(encoding="utf-8").strip()
