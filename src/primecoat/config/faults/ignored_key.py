"""PC502: a key that OpenColorIO does not know and passes over.

The list of known keys is OpenColorIO's own: its loader says which keys it passes over, where, and
loads the config all the same. So the check knows what the library at hand knows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Final

from primecoat.config.faults.common import about
from primecoat.config.subject import Subject
from primecoat.findings import Finding

_AT_LINE = re.compile(r"At line (?P<line>\d+), unknown key '(?P<key>.*)' in '(?P<part>.*)'")
_PLAIN = re.compile(r"Unknown key in (?P<part>\w+): '(?P<key>.*)'")
_ELEMENT = re.compile(r"Unknown element found in (?P<part>\w+):\s*(?P<key>.*?)\. Only")

KNOWN: Final = (
    *("ocio_profile_version", "environment", "search_path", "strictparsing", "family_separator"),
    *("luma", "name", "description", "roles", "file_rules", "viewing_rules", "shared_views"),
    *("displays", "virtual_display", "active_displays", "active_views", "inactive_colorspaces"),
    *("looks", "default_view_transform", "view_transforms", "colorspaces", "named_transforms"),
    *("display_colorspaces", "use_display_aliases", "aliases", "interop_id", "interchange"),
    *("family", "equalitygroup", "bitdepth", "categories", "encoding", "isdata", "allocation"),
    *("allocationvars", "to_reference", "from_reference", "to_scene_reference"),
    *("from_scene_reference", "to_display_reference", "from_display_reference", "process_space"),
    *("transform", "inverse_transform", "inverse", "children", "direction", "src", "dst", "looks"),
    *("interpolation", "cccid", "cdl_style", "matrix", "offset", "value", "gamma", "style", "base"),
    *("pattern", "extension", "regex", "colorspace", "custom", "view_transform", "rule", "view"),
    *("display_colorspace", "encodings", "colorspaces", "display", "slope", "power", "sat"),
)
"""Keys to suggest. Source: OpenColorIO's own serialisation and its documentation, *Config Syntax*.
Which keys are known is not decided by it."""


def check(subject: Subject) -> Iterator[Finding]:
    """Yield a finding for every key that the loader passed over."""
    for line in subject.log:
        match = _AT_LINE.search(line) or _PLAIN.search(line) or _ELEMENT.search(line)
        if match is None:
            continue
        key, part = match["key"], match["part"]
        number = match.groupdict().get("line") or _line_of(subject.text, key)
        near = sorted(get_close_matches(key, KNOWN, n=3), key=lambda known: _unlike(key, known))
        yield about(
            subject,
            "config_key_is_ignored",
            f"line {number}" if number else part,
            f"OpenColorIO does not know {key!r} in {part} and passes over what it says.",
            f"Write {near[0]!r}, if that is meant." if near else "Correct the spelling.",
        )


def _unlike(key: str, known: str) -> tuple[bool, bool]:
    """Put first what has the same letters in another order, then what ends alike."""
    return sorted(key) != sorted(known), key[-1] != known[-1]


def _line_of(text: str, key: str) -> str:
    """Return the only line that a key stands on, or an empty text."""
    found = [
        n for n, line in enumerate(text.splitlines(), 1) if f"{key}:" in line or f"<{key}>" in line
    ]
    return str(found[0]) if len(found) == 1 else ""
