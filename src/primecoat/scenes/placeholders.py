"""Placeholders in file names: ``<UDIM>``, ``<UVTILE>``, ``####``, ``%04d``.

``<UDIM>`` stands for 1001 + u + 10 v, ``<UVTILE>`` for ``u1_v1`` and up (common practice in
texture sets, no source); ``####`` and ``%04d`` for a frame number of that many digits.
"""

from __future__ import annotations

import re

PLACEHOLDER = re.compile(r"<UDIM>|<UVTILE>|#+|%0(\d)d")
"""Matches one placeholder as written; ``<UDIM>`` is case-sensitive as in OpenUSD."""


def has_placeholder(name: str) -> bool:
    """Whether a file's own name holds a placeholder.

    Examples
    --------
    >>> has_placeholder("tray_color.<UDIM>.png"), has_placeholder("tray.png")
    (True, False)
    """
    return PLACEHOLDER.search(name) is not None


def name_pattern(name: str) -> re.Pattern[str]:
    """Return a pattern for the file names that a name with placeholders stands for.

    Examples
    --------
    >>> bool(name_pattern("tray.<UDIM>.png").fullmatch("tray.1002.png"))
    True
    """
    parts, at = [], 0
    for match in PLACEHOLDER.finditer(name):
        parts += [re.escape(name[at : match.start()]), _digits(match)]
        at = match.end()
    return re.compile("".join([*parts, re.escape(name[at:])]))


def _digits(match: re.Match[str]) -> str:
    text = match.group()
    if text == "<UDIM>":
        return r"1\d{3}"
    if text == "<UVTILE>":
        return r"u\d+_v\d+"
    return rf"\d{{{match.group(1) or len(text)}}}"
