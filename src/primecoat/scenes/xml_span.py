"""Where attributes stand in an XML text, so that one can be changed and no other byte.

Source: W3C, *Extensible Markup Language 1.0*, 5th edition: 2.3 (attribute values), 3.1 (start
tags), 4.6 (predefined entities). A document type with declarations of its own is refused: no
scene format here has one, and entities in it can grow without bound or name other files.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple
from xml.parsers import expat

from primecoat.errors import InputError, RefusedError

DEEPEST = 200
"""Elements that may stand inside one another; the MaterialX library itself stops at 256."""

_DECLARED = re.compile(rb"""<\?xml[^>]*?\sencoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_ENCODINGS = {
    "utf-8": "utf-8",
    "utf8": "utf-8",
    "us-ascii": "ascii",
    "ascii": "ascii",
    "iso-8859-1": "latin-1",
    "latin1": "latin-1",
}
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_ATTRIBUTE = re.compile(
    rb"""(?P<gap>\s+)(?P<name>[^\s=/>"']+)\s*=\s*(?:"(?P<double>[^"]*)"|'(?P<single>[^']*)')"""
)
_TAG_NAME = re.compile(rb"<[^\s/>]+")
_ESCAPES = {"&": "&amp;", "<": "&lt;", "\t": "&#9;", "\n": "&#10;", "\r": "&#13;"}


class Tag(NamedTuple):
    """One element's start tag; a tuple, because there are many and a tuple is made fastest.

    Parameters
    ----------
    path
        ``/`` for the root; else the ``name`` attributes from below the root down to the element,
        each behind a ``/``.
    category
        Name of the tag.
    attributes
        Attributes as a reader sees them.
    parent
        Number of the enclosing element; None for the root.
    start
        Where the tag begins, in bytes of the UTF-8 text.
    """

    path: str
    category: str
    attributes: dict[str, str]
    parent: int | None
    start: int


@dataclass(frozen=True, slots=True)
class XmlText:
    """An XML document with the places of its tags.

    Parameters
    ----------
    body
        The text as UTF-8, without byte order mark.
    mark, encoding
        Byte order mark and encoding of the file.
    tags
        All start tags in the order of the document.
    by_path
        Path to number of tag. Of elements with one path the first counts; elements without a
        name, or inside one without, have no path that counts.
    repeated
        Paths that stand more than once.
    """

    body: bytes
    mark: bytes
    encoding: str
    tags: tuple[Tag, ...]
    by_path: dict[str, int]
    repeated: tuple[str, ...]

    def tag(self, path: str) -> Tag:
        """Return the start tag at a path.

        Raises
        ------
        InputError
            If nothing stands there.
        """
        if path not in self.by_path:
            raise InputError(f"Nothing stands at {path} in the scene.", "Survey it again.")
        return self.tags[self.by_path[path]]

    def inherited(self, path: str, name: str) -> str | None:
        """Return an attribute of the element or of the nearest one around it that has it."""
        number: int | None = self.by_path.get(path)
        while number is not None:
            tag = self.tags[number]
            if name in tag.attributes:
                return tag.attributes[name]
            number = tag.parent
        return None


def parse(data: bytes, name: str) -> XmlText:
    """Parse an XML file; no entity is expanded and nothing else is opened.

    Raises
    ------
    InputError
        If it is no well-formed XML, declares a document type, or nests too deep.
    """
    mark, encoding = _encoding(data, name)
    try:
        body = data[len(mark) :].decode(encoding).encode()
    except UnicodeDecodeError as error:
        raise InputError(
            f"Cannot read {name}: byte {error.start} is no {encoding} text.", "Save it as UTF-8."
        ) from error
    walk = _Walk(name)
    walk.run(body)
    return XmlText(
        body=body,
        mark=mark,
        encoding=encoding,
        tags=tuple(walk.tags),
        by_path=walk.by_path,
        repeated=tuple(dict.fromkeys(walk.repeated)),
    )


class _Walk:
    """One run of the parser over a text; collects start tags."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.tags: list[Tag] = []
        self.by_path: dict[str, int] = {}
        self.repeated: list[str] = []
        self._open: list[tuple[int, bool]] = []  # number of an open tag, whether its path counts
        self._parser = expat.ParserCreate("utf-8")
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.StartDoctypeDeclHandler = self._doctype

    def run(self, body: bytes) -> None:
        try:
            self._parser.Parse(body, True)
        except expat.ExpatError as error:
            raise InputError(
                f"Cannot read {self.name}: line {error.lineno} is no well-formed XML "
                f"({expat.ErrorString(error.code)}).",
                "Export the scene again, or mend this line.",
            ) from error

    def _start(self, category: str, attributes: dict[str, str]) -> None:
        if len(self._open) >= DEEPEST:
            raise InputError(
                f"Cannot read {self.name}: more than {DEEPEST} elements stand inside one another.",
                "Export the scene again.",
            )
        number = len(self.tags)
        parent, counts = self._open[-1] if self._open else (None, True)
        own = attributes.get("name", "")
        above = "" if parent in (None, 0) else self.tags[parent or 0].path
        path = "/" if parent is None else f"{above}/{own}"
        counts = counts and (parent is None or bool(own))
        if counts and path in self.by_path:
            self.repeated.append(path)
            counts = False
        if counts:
            self.by_path[path] = number
        self.tags.append(Tag(path, category, attributes, parent, self._parser.CurrentByteIndex))
        self._open.append((number, counts))

    def _end(self, _category: str) -> None:
        self._open.pop()

    def _doctype(self, *declaration: object) -> None:
        raise InputError(
            f"Cannot read {self.name}: it declares a document type ({declaration[0]}), "
            "which can hold entities without bound; nothing of it was read.",
            "Take the <!DOCTYPE> out of the file.",
        )


def edit_attributes(text: XmlText, changes: Iterable[tuple[str, str, str | None]]) -> bytes:
    r"""Return the file's bytes with attributes changed and every other byte kept.

    Parameters
    ----------
    text
        The parsed file.
    changes
        Path of an element, name of an attribute, new value. None takes the attribute away, with
        the space before it; an attribute that is not there is added behind the last one.

    Raises
    ------
    InputError
        If nothing stands at a path.
    RefusedError
        If one attribute is changed twice.

    Examples
    --------
    >>> text = parse(b"<a><b name='x' v='1' /></a>", "t.xml")
    >>> edit_attributes(text, [("/x", "v", "2 < 3"), ("/x", "w", "new")])
    b'<a><b name=\'x\' v=\'2 &lt; 3\' w="new" /></a>'
    """
    patches: dict[tuple[str, str], tuple[int, int, str]] = {}
    for path, name, value in changes:
        if (path, name) in patches:
            raise RefusedError(f"{path}@{name} was to be changed twice.", "Make a new plan.")
        patches[path, name] = _patch(text.body, text.tag(path), name, value)
    pieces, at = [], 0
    for start, end, new in sorted(patches.values(), key=lambda patch: patch[:2]):
        pieces += [text.body[at:start], new.encode()]
        at = end
    body = b"".join([*pieces, text.body[at:]]).decode()
    return text.mark + body.encode(text.encoding, "xmlcharrefreplace")


def _patch(body: bytes, tag: Tag, name: str, value: str | None) -> tuple[int, int, str]:
    """Return start, end and new text of the piece that changes."""
    head = _TAG_NAME.match(body, tag.start)
    last = head.end() if head else tag.start
    at = _ATTRIBUTE.match(body, last)
    while at:
        last = at.end()
        if at["name"].decode() == name:
            group = "double" if at["double"] is not None else "single"
            if value is None:
                return at.start(), at.end(), ""
            return at.start(group), at.end(group), _escaped(value, '"' if group[0] == "d" else "'")
        at = _ATTRIBUTE.match(body, last)
    return last, last, "" if value is None else f' {name}="{_escaped(value, chr(34))}"'


def _escaped(value: str, quote: str) -> str:
    escapes = _ESCAPES | {quote: "&quot;" if quote == '"' else "&apos;"}
    return "".join(escapes.get(c, c) for c in value)


def _encoding(data: bytes, name: str) -> tuple[bytes, str]:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return mark, encoding
    match = _DECLARED.match(data[:200])
    declared = match[1].decode().lower() if match else "utf-8"
    if declared not in _ENCODINGS:
        raise InputError(
            f"Cannot read {name}: it is written in {declared}, and primecoat reads XML in "
            "UTF-8, UTF-16, ISO-8859-1 and ASCII.",
            "Save it as UTF-8.",
        )
    return b"", _ENCODINGS[declared]
