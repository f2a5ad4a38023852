"""MaterialX (``.mtlx``): documents with includes, node graphs and the open shading models.

Source: Academy Software Foundation, *MaterialX Specification 1.39* and its libraries, 1.39.5. A
place is ``/graph/node/input@attribute``: the ``name`` attributes from the root down, which are
unique among siblings, and the attribute; ``/@colorspace`` is that of the root.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterator, Sequence
from pathlib import Path

from primecoat.errors import RefusedError
from primecoat.findings import Finding, finding
from primecoat.location import Location
from primecoat.scenes.collector import collector_at_rest
from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_file import MaterialXDocument, read_document
from primecoat.scenes.materialx_names import reading_of
from primecoat.scenes.materialx_names import space_name as space_name
from primecoat.scenes.materialx_operations import operations
from primecoat.scenes.materialx_spaces import COLOURSPACE
from primecoat.scenes.materialx_switch import edits_of_switch
from primecoat.scenes.materialx_uses import FoundColour, FoundImage, Uses
from primecoat.scenes.materialx_values import colour_text as colour_text
from primecoat.scenes.materialx_values import numbers_of
from primecoat.scenes.model import ColourValue, Edit, ImageReference, ImageUse, Scene
from primecoat.scenes.xml_span import XmlText, edit_attributes, parse

SUFFIXES = (".mtlx",)
STANDARD = "MaterialX 1.39"
CHANGED_SUFFIX = ""
DECLARES = True
WHY_NOT = ""

_SAID_BY = "MaterialX document"

_RESOLVES = "getResolvedValueString"


def read(path: Path, name: str, roots: Sequence[Path] = ()) -> Scene:
    """Read a MaterialX document; see :class:`primecoat.scenes.format.SceneFormat`."""
    with collector_at_rest():
        return _scene(read_document(path, name), path, name)


def _scene(document: MaterialXDocument, path: Path, name: str) -> Scene:
    walk = Uses(document)
    references: list[ImageReference] = []
    numbers: dict[str, int] = {}
    uses = []
    for found in walk.images():
        number = numbers.setdefault(found.holder.path, len(references))
        if number == len(references):
            references.append(_reference(document, found.holder))
        uses.append(_use(found, number))
    problems: list[Finding] = []
    values = [(c.light, v) for c in walk.colours() for v in _value(c, problems)]
    return Scene(
        path=path,
        name=name,
        format="materialx",
        references=tuple(references),
        uses=tuple(uses),
        colours=tuple(value for light, value in values if not light),
        lights=tuple(value for light, value in values if light),
        problems=(*document.problems, *problems),
        working=str(document.root.get(COLOURSPACE)),
        operations=tuple(operations(document, walk.flow)),
    )


def claims(path: Path) -> bool:
    """Return True: this ending means nothing else."""
    return path.suffix.lower() in SUFFIXES


def _reference(document: MaterialXDocument, holder: Element) -> ImageReference:
    """Return the reference at an element, with the ``fileprefix`` over it in front.

    The library is asked only where something is put in for a token: it looks through the whole
    document each time.
    """
    written = holder.active("fileprefix") + holder.get("value")
    tokens = "[" in written or ("<" in written and document.root.of_category("geominfo"))
    return ImageReference(
        text=_resolved(document, holder, written) if tokens else written,
        location=Location(document.file_of(holder).name, f"{document.path_of(holder)}@value"),
        written=written,
    )


def _resolved(document: MaterialXDocument, holder: Element, written: str) -> str:
    """Return a value with its tokens put in, if the library takes its element for a value."""
    found = document.library.getDescendant(holder.path)
    return str(found.getResolvedValueString()) if hasattr(found, _RESOLVES) else written


def _use(found: FoundImage, reference: int) -> ImageUse:
    return ImageUse(
        reference=reference,
        owner=found.owner,
        slot=found.slot,
        channels=found.channels,
        location=found.location,
        declared=found.spoken.declared,
        declared_at=found.spoken.at,
        fixed=found.fixed,
        standard=STANDARD if found.fixed else _SAID_BY,
        inherited=found.spoken.of_root,
        named=reading_of(found.spoken.declared or ""),
        today=found.today,
        today_why=found.today_why,
        ignores_header=True,
    )


def _value(found: FoundColour, problems: list[Finding]) -> Iterator[ColourValue]:
    """Yield the colour at an element, or all of an array as one."""
    written, kind = (found.holder.get(name) for name in ("value", "type"))
    rows = numbers_of(written, kind)
    if rows is None:
        problems.append(
            finding(
                "reference_in_scene_is_broken",
                found.location.file,
                f"At {found.location.place}: a value of type {kind} is needed, "
                f"found {written[:60]!r}.",
                "Mend this value in the document.",
                found.location,
            )
        )
        return
    least = tuple(min(row[at] for row in rows) for at in range(3))
    most = tuple(max(row[at] for row in rows) for at in range(3))
    yield ColourValue(
        location=found.location,
        owner=found.owner,
        slot=found.slot,
        value=(least[0], least[1], least[2]),
        written=written,
        count=len(rows),
        maximum=(most[0], most[1], most[2]) if len(rows) > 1 else None,
        exception=found.exception,
        declared=found.spoken.declared,
        declared_at=found.spoken.at,
        named=reading_of(found.spoken.declared or ""),
        written_at=(
            Location(found.location.file, f"{found.location.place}@value")
            if found.spoken.at and len(rows) == 1
            else None
        ),
    )


def switch_edits(
    path: Path, name: str, to_space: str, roots: Sequence[Path] = ()
) -> tuple[Edit, ...]:
    """Return the edits that write a new working space into the root and pin what it governs."""
    return edits_of_switch(read_document(path, name), to_space)


def changed(source: Path, edits: Sequence[Edit], target: Path, roots: Sequence[Path] = ()) -> bytes:
    """Return the document with edits made; see ``SceneFormat.changed``."""
    return edit(source.read_bytes(), edits)


def edit(data: bytes, edits: Sequence[Edit]) -> bytes:
    """Return the document's bytes with attributes changed; see ``SceneFormat.edit``.

    ``@value`` of a file name is said with the ``fileprefix`` in front; what is written is the
    rest. ``@colorspace`` may be said as it is inherited where the element has none of its own;
    an empty one is taken away. Where an input takes its file or colour from the interface of its
    node graph, and both say the same space, they go on doing so.
    """
    text = parse(data, "the scene")
    changes = [_change(text, change) for change in edits]
    said = {(path, name) for path, name, _ in changes}
    in_step: dict[str, set[str | None]] = {}
    for path, name, value in changes:
        interface = _interface_in_step(text, path) if name == COLOURSPACE else ""
        if interface and (interface, name) not in said:
            in_step.setdefault(interface, set()).add(value)
    changes += [
        (p, COLOURSPACE, v) for p, values in in_step.items() if len(values) == 1 for v in values
    ]
    return edit_attributes(text, changes)


def _interface_in_step(text: XmlText, path: str) -> str:
    """Return the path of the interface input that feeds an input and says the same space."""
    tag = text.tag(path)
    feed, own = (tag.attributes.get(name) for name in ("interfacename", COLOURSPACE))
    interface = f"{path.rpartition('/')[0].rpartition('/')[0]}/{feed}"
    if feed is None or own is None or interface not in text.by_path:
        return ""
    return interface if text.tag(interface).attributes.get(COLOURSPACE) == own else ""


def _change(text: XmlText, change: Edit) -> tuple[str, str, str | None]:
    path, _, attribute = change.place.rpartition("@")
    tag = text.tag(path)
    own = tag.attributes.get(attribute)
    if attribute == COLOURSPACE:
        inherited = text.inherited(path, COLOURSPACE) or ""
        _expect(change, {own} if own is not None else {"", inherited}, own or inherited)
        if change.after and reading_of(change.after) is None:
            raise RefusedError(
                f"{change.after} is no colour space that MaterialX 1.39 has a name for.",
                "Use the tag route for it.",
            )
        return path, attribute, change.after or None
    if attribute != "value" or own is None:
        raise RefusedError(
            f"The MaterialX document cannot be edited at {change.place}: only a value or a "
            "colorspace that stands there can be.",
            "Make a new plan; one that was written by hand can hold no other edits.",
        )
    if tag.attributes.get("type") != "filename":
        _expect(change, {own}, own)
        return path, attribute, change.after
    prefix = text.inherited(path, "fileprefix") or ""
    _expect(change, {prefix + own}, prefix + own)
    return path, attribute, _behind(prefix, change.after)


def _expect(change: Edit, allowed: set[str], found: str) -> None:
    if change.before not in allowed:
        raise RefusedError(
            f"At {change.place} the scene says {found[:80]!r}, "
            f"but {change.before[:80]!r} was planned for.",
            "The scene has changed: make a new plan.",
        )


def _behind(prefix: str, wanted: str) -> str:
    """Return what is to be written for a path where a ``fileprefix`` is put in front of it."""
    if wanted.startswith(prefix):
        return wanted[len(prefix) :]
    folder, _, stem = prefix.rpartition("/")
    if stem or not folder or folder.startswith("/") != wanted.startswith("/"):
        raise RefusedError(
            f"{wanted} cannot be written behind the fileprefix {prefix!r}.",
            "Take the fileprefix out of the document, or keep the pictures' names.",
        )
    return posixpath.relpath(wanted, folder)


def reference_text(relative_path: str) -> str:
    """Return a relative path as it is written in this format: as it is."""
    return relative_path
