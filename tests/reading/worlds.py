"""Small targets and their readings, made the way a survey makes them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.house import NO_HOUSE, House
from primecoat.inventory import take_inventory
from primecoat.reading.judgement import ImageReading
from primecoat.reading.readings import Readings, read_all

P3_CICP = b"\x0c\x0d\x00\x01"
"""cICP of Display P3. Source: W3C *PNG Specification (Third Edition)*, section 11.3.2.6."""


def readings_of(target: Path, without: Iterable[str] = (), **options: Any) -> Readings:
    """Survey a target up to its readings."""
    return read_all(
        take_inventory(target),
        from_space=options.get("from_space"),
        to_space="lin_ap1_scene",
        config=DEFAULT_CONFIG,
        without=frozenset(without),
        house=options.get("house", NO_HOUSE),
    )


def images_of(
    target: Path, without: Iterable[str] = (), house: House = NO_HOUSE
) -> dict[str, ImageReading]:
    """Return the images of a target by path."""
    return {image.record.path: image for image in readings_of(target, without, house=house).images}


def sheet(folder: Path, *rows: str, name: str = "s.csv") -> Path:
    """Write a scene sheet of rows ``path,owner,slot,channels,space,value``."""
    path = folder / name
    text = "\n".join(("path,owner,slot,channels,space,value", *rows)) + "\n"
    path.write_text(text, encoding="utf-8")
    return path
