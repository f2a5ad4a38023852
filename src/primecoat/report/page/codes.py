"""What the finding codes of a page mean, in the words of the documentation."""

from __future__ import annotations

import re
from collections.abc import Iterable

from markdown_it import MarkdownIt

from primecoat.findings import Finding
from primecoat.findings.explained import explained
from primecoat.report.page.frame import section
from primecoat.report.page.markup import Markup, tag

_MARKDOWN = MarkdownIt("commonmark", {"html": False})
_LINK = re.compile(r"\[([^]]+)\]\([^)]+\)")


def codes(findings: Iterable[Finding]) -> Markup | None:
    """Return the section that explains each code that was found; None if there is none."""
    found = sorted({finding.code for finding in findings})
    if not found:
        return None
    return section("codes", "What do the codes mean?", *map(_code, found))


def code_link(code: str) -> Markup:
    """Return a code, leading to its explanation on the same page."""
    return tag("a", code, href=f"#code-{code}", class_="code")


def _code(code: str) -> Markup:
    page = explained(code)
    return tag(
        "article",
        tag("h3", code, ": ", page.title),
        tag("div", _rendered(page.meaning), class_="meaning"),
        tag("div", _rendered(page.todo), class_="remedy"),
        id=f"code-{code}",
        class_="explained",
    )


def _rendered(markdown: str) -> Markup:
    """Return our own documentation as HTML; of links only the words, for the page stands alone."""
    return Markup(_MARKDOWN.render(_LINK.sub(r"\1", markdown)))
