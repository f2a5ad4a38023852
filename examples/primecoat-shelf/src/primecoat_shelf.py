"""Reads and changes shelf lists (``.shelf``), line by line.

The first line is ``shelf 1``. ``piece NAME`` and ``lamp NAME`` begin an owner; indented lines
under it plug something in: a word for the slot, a path or three numbers, and maybe
``as SPACE``. Lines that begin with ``#`` are notes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from primecoat.errors import InputError, RefusedError
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.model import ColourValue, Edit, ImageReference, ImageUse, Scene

STANDARD = "shelf list"
DECLARES = True

WORDS = {
    "body": ("base_color", "rgb"),
    "tint": ("base_color", "rgb"),
    "glow": ("emissive", "rgb"),
    "gloss": ("roughness", "r"),
    "metal": ("metalness", "r"),
    "relief": ("normal", "rgb"),
}
"""What can be plugged in: the word, the slot it is, and the channels it takes."""

OWNER = re.compile(r"(piece|lamp) +(?P<name>.+?)\s*")
PLUG = re.compile(r"\s+(?P<word>\w+)\s+(?P<value>.+?)(?:\s+as\s+(?P<space>\w+))?\s*")


def claims(path: Path) -> bool:
    """Whether a file met in a folder is a shelf list."""
    with path.open(encoding="utf-8", errors="replace") as lines:
        return lines.readline().startswith("shelf ")


def read(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a shelf list; open nothing that it names."""
    lines = _lines(path.read_bytes(), name)
    references: list[ImageReference] = []
    uses: list[ImageUse] = []
    colours: list[ColourValue] = []
    lights: list[ColourValue] = []
    problems: list[Finding] = []
    owner, is_lamp = "", False
    for number, line in enumerate(lines[1:], 2):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        place = f"line {number}"
        begun, plug = OWNER.fullmatch(line), PLUG.fullmatch(line)
        if begun:
            owner, is_lamp = begun["name"], begun[1] == "lamp"
            continue
        if plug is None or plug["word"] not in WORDS:
            problems.append(
                finding(
                    "reference_in_scene_is_broken",
                    name,
                    f"In line {number} nothing is plugged in that is known: {line.strip()!r}.",
                    f"Use one of: {', '.join(WORDS)}.",
                    Location(name, place),
                )
            )
            continue
        slot, channels = WORDS[plug["word"]]
        declared_at = Location(name, f"{place}/space")
        numbers = _numbers(plug["value"])
        if numbers:
            value = ColourValue(
                location=Location(name, place),
                owner=owner,
                slot="light_color" if is_lamp else slot,
                value=numbers,
                written=plug["value"],
                declared=plug["space"],
                declared_at=declared_at,
                written_at=Location(name, f"{place}/value"),
            )
            (lights if is_lamp else colours).append(value)
            continue
        references.append(
            ImageReference(
                text=plug["value"],
                written=plug["value"],
                location=Location(name, f"{place}/value"),
            )
        )
        uses.append(
            ImageUse(
                reference=len(references) - 1,
                owner=owner,
                slot=slot,
                channels=channels,
                location=Location(name, place),
                declared=plug["space"],
                declared_at=declared_at,
                standard=STANDARD,
            )
        )
    return Scene(
        path=path,
        name=name,
        format="shelf",
        references=tuple(references),
        uses=tuple(uses),
        colours=tuple(colours),
        lights=tuple(lights),
        problems=tuple(problems),
    )


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the list with edits made at ``line N/value`` and ``line N/space``, no other byte."""
    lines = _lines(source.read_bytes(), source.name, keepends=True)
    # from the right, so that an edit does not move the next one in its line
    for edit in sorted(edits, key=lambda e: e.place, reverse=True):
        at, _, part = edit.place.removeprefix("line ").partition("/")
        line = lines[int(at) - 1]
        body = line.rstrip("\r\n")
        plug = PLUG.fullmatch(body)
        found = (plug[part] or "") if plug else None
        if plug is None or found != edit.before:
            raise RefusedError(
                f"At {edit.place} stands {found!r}, not {edit.before!r}.", "Make a new plan."
            )
        if part == "space" and not found:
            begin = end = plug.end("value")
            text = f" as {edit.after}"
        else:
            begin, end = plug.span(part)
            text = edit.after
        lines[int(at) - 1] = body[:begin] + text + body[end:] + line[len(body) :]
    return "".join(lines).encode()


def space_name(reading: str) -> str:
    """Return the reading: a shelf list declares by Color Interop ID."""
    return reading


def _lines(data: bytes, name: str, *, keepends: bool = False) -> list[str]:
    try:
        lines = data.decode("utf-8").splitlines(keepends=keepends)
    except UnicodeDecodeError as error:
        raise InputError(
            f"Cannot read {name}: it is not UTF-8 text.", "Save it as UTF-8."
        ) from error
    if not lines or lines[0].strip() != "shelf 1":
        raise InputError(f"{name} is no shelf list: it must begin with 'shelf 1'.", "Mend it.")
    return lines


def _numbers(text: str) -> tuple[float, float, float] | None:
    try:
        red, green, blue = (float(part) for part in text.split())
    except ValueError:
        return None
    return red, green, blue
