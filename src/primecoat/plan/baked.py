"""What a baked picture keeps of where it came from."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import ImageError
from primecoat.images.oiio import attributes, open_input

BAKED_FROM = "primecoat:source"
"""Attribute that holds the SHA-256 of the source."""


def baked_from(picture: Path) -> str:
    """Return the hash of the source that a baked picture names; empty if it names none."""
    try:
        source = open_input(picture)
    except ImageError:
        return ""
    try:
        return str(attributes(source.spec(0)).get(BAKED_FROM, ""))
    finally:
        source.close()
