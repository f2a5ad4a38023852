"""Reading MaterialX files with the MaterialX library, which never opens a file by itself.

This is the only door to that library. Every file is looked through by our own XML parser first
(no entities, no deep nesting); includes are followed here, inside the folder of the scene, and
merged as the library's own reader merges them: included elements come first, keep the root
attributes of their file, and win over elements of the same name.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import MaterialX as mx

from primecoat.errors import InputError
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.materialx_element import Element, mirror
from primecoat.scenes.xml_span import XmlText, parse

ROOT = "materialx"
_INCLUDE = "xi:include"
MOST_INCLUDES = 1000
"""Includes that are followed for one scene; a file that is included often counts each time."""


DEEPEST_INCLUDE = 64
"""Files that may include one another in a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialXFile:
    """One file of a document.

    Parameters
    ----------
    name
        Its path as shown to the user.
    text
        Its XML.
    namespace
        Put before the names of its elements, with a colon, where it is included.
    """

    name: str
    text: XmlText
    namespace: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialXDocument:
    """A scene file with all that it includes, merged.

    Parameters
    ----------
    root
        The merged document, as elements of our own.
    library
        The same as the library's document.
    files
        The scene file under ``""``, then every included one under its shown name.
    problems
        Includes that were not followed, and elements that the library does not read.
    """

    root: Element
    library: Any
    files: dict[str, MaterialXFile]
    problems: tuple[Finding, ...]

    def file_of(self, element: Element) -> MaterialXFile:
        """Return the file that an element of the merged document stands in."""
        return self.files[element.source]

    def path_of(self, element: Element) -> str:
        """Return an element's path in its own file."""
        namespace = self.files[element.source].namespace
        return "/" + (element.path.removeprefix(f"{namespace}:") if namespace else element.path)

    def stands(self, element: Element) -> bool:
        """Whether an element can be found again in its file: it has a name, as have all above."""
        return self.path_of(element) in self.file_of(element).text.by_path


@dataclass(slots=True)
class _Reading:
    """What is gathered while files are followed."""

    folder: Path
    shown: str
    files: dict[str, MaterialXFile] = field(default_factory=dict)
    problems: list[Finding] = field(default_factory=list)
    followed: int = 0


def read_document(path: Path, name: str) -> MaterialXDocument:
    """Read a MaterialX file and what it includes.

    Parameters
    ----------
    path
        The file.
    name
        Its path as shown to the user.

    Raises
    ------
    InputError
        If the file itself cannot be read. An included one that cannot is a problem.
    """
    reading = _Reading(folder=path.parent.resolve(), shown=name.rpartition("/")[0])
    document = _read(path, name, reading, ())
    root = mirror(document, several_files=len(reading.files) > 1)
    return MaterialXDocument(
        root=root, library=document, files=reading.files, problems=tuple(reading.problems)
    )


def _read(path: Path, name: str, reading: _Reading, chain: tuple[Path, ...]) -> Any:
    """Return the library's document of one file, with what it includes already merged."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"Cannot read {name}: {error.strerror}.", "Check the name and its rights."
        ) from error
    text = parse(data, name)
    if text.tags[0].category != ROOT:
        raise InputError(
            f"Cannot read {name}: it is XML but no MaterialX (its first element is "
            f"<{text.tags[0].category}>).",
            "Give a MaterialX document.",
        )
    document = mx.createDocument()
    for tag in text.tags:
        if tag.parent == 0 and tag.category == _INCLUDE:
            included = _include(tag.attributes.get("href", ""), path, name, reading, chain)
            if included is not None:
                document.importLibrary(included)
    options = mx.XmlReadOptions()
    options.readXIncludeFunction = None  # the library opens nothing
    options.upgradeVersion = False  # nor moves elements to other places than the file's
    try:
        mx.readFromXmlString(document, text.body.decode(), mx.FileSearchPath(), options)
    except (mx.ExceptionParseError, mx.ExceptionFileMissing, RuntimeError) as error:
        raise InputError(
            f"Cannot read {name}: {error}".rstrip(".") + ".", "Export the scene again."
        ) from error
    key = name if chain else ""
    namespace = text.tags[0].attributes.get("namespace", "") if chain else ""
    reading.files[key] = MaterialXFile(name=name, text=text, namespace=namespace)
    if chain:
        document.setSourceUri(name)
    reading.problems += [_unread(name, place) for place in text.repeated]
    return document


def _include(
    href: str, path: Path, name: str, reading: _Reading, chain: tuple[Path, ...]
) -> Any | None:
    """Return the document that an include leads to; None, and a problem, if it is not followed."""
    wanted = path.parent / href.replace("\\", "/")
    chain = (*chain, path.resolve())
    reading.followed += 1
    why = ""
    try:
        real = wanted.resolve()
        if not href or "\x00" in href or "://" in href:
            why = "it names no local file"
        elif not real.is_relative_to(reading.folder):
            why = "it lies outside the scene's folder and was not opened"
        elif real in chain:
            why = "it includes itself"
        elif len(chain) > DEEPEST_INCLUDE:
            why = f"more than {DEEPEST_INCLUDE} files include one another in a row"
        elif reading.followed > MOST_INCLUDES:
            why = f"the scene has more than {MOST_INCLUDES} includes"
        elif not real.is_file():
            why = "there is no such file"
    except (OSError, ValueError, RuntimeError) as error:
        why = f"it cannot be found ({getattr(error, 'strerror', None) or error})"
    if why:
        location = Location(name)
        reading.problems.append(
            finding(
                "reference_in_scene_is_broken",
                name,
                f"The include of {href[:200]!r} was not followed: {why}.",
                "Put the file into the scene's folder and name it relative to the file that "
                "includes it.",
                location,
            )
        )
        return None
    relative = real.relative_to(reading.folder).as_posix()
    shown = f"{reading.shown}/{relative}" if reading.shown else relative
    try:
        return _read(real, shown, reading, chain)
    except InputError as error:
        reading.problems.append(
            finding("scene_cannot_be_read", shown, error.message, error.remedy, Location(shown))
        )
        return None


def _unread(name: str, place: str) -> Finding:
    return finding(
        "reference_in_scene_is_broken",
        name,
        f"At {place} stands a second element of the same name; MaterialX reads only the first.",
        "Give one of them another name.",
        Location(name, place),
    )
