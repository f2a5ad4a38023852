"""What a finding code means: the page on it, as it stands in the documentation."""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib.resources import files

_TITLE = re.compile(r"^# (?P<code>PC\d{3}): (?P<title>.+)$")
_MEANING, _TODO = "What it means for the picture", "What to do"


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """The words on one finding code.

    Parameters
    ----------
    title
        The fault in a few words.
    meaning
        What it does to the picture, or, where no picture is touched, how it is found; Markdown.
    todo
        What to do; Markdown.
    """

    code: str
    title: str
    meaning: str
    todo: str


def explained(code: str) -> Explained:
    """Return what a finding code means.

    Raises
    ------
    KeyError
        If there is no such code.

    Examples
    --------
    >>> explained("PC301").title
    'a normal map went through an sRGB curve'
    """
    page = files("primecoat.findings") / "pages" / f"{code}.md"
    if not page.is_file():
        raise KeyError(code)
    head, *parts = page.read_text(encoding="utf-8").split("\n## ")
    title = _TITLE.match(head.partition("\n")[0])
    if title is None:
        raise KeyError(code)
    by_heading = dict(part.split("\n", 1) for part in parts)
    meaning = by_heading.get(_MEANING) or by_heading["How it is found"]
    return Explained(
        code=code, title=title["title"], meaning=meaning.strip(), todo=by_heading[_TODO].strip()
    )
