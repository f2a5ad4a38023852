"""PC104: a name holds the letters of a colour space inside a longer word."""

from __future__ import annotations

from collections.abc import Iterator

from primecoat.findings import Finding, finding
from primecoat.reading.names import look_alikes, split_name
from primecoat.reading.readings import Readings

HUNTED = ("raw", "aces", "srgb")
"""Short names that OpenColorIO's search of a whole path finds inside longer words: ``raw`` in
``strawberry`` and ``drawings``, ``aces`` in ``surfaces`` (measured on OpenColorIO 2.6)."""


def check(readings: Readings) -> Iterator[Finding]:
    """Yield a finding for every name that a search for substrings would misread."""
    for image in readings.images:
        found = look_alikes(image.record.name, HUNTED)
        if found and not split_name(image.record.name).token_is_id:
            yield finding(
                "name_looks_like_a_token",
                image.record.path,
                f"The name contains the letters '{found[0]}' inside a word. It says nothing, but a "
                "program that searches the whole path takes it for a colour space.",
                "The tag route makes the name clear; or rename the file.",
            )
