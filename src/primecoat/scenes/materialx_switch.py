"""Another working space for a MaterialX document, without another meaning for what stands in it.

The root's ``colorspace`` is the working space, and also the space of every colour and image that
says nothing itself. It is changed only together with a ``colorspace`` of their own for those.
"""

from __future__ import annotations

from primecoat.errors import RefusedError
from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_file import MaterialXDocument
from primecoat.scenes.materialx_names import NO_CONVERSION, space_name, why_no_name
from primecoat.scenes.materialx_spaces import COLOUR_TYPES, COLOURSPACE, effective_space
from primecoat.scenes.materialx_uses import Uses
from primecoat.scenes.model import Edit

_COLOURLESS = ("float", "integer", "boolean", "vector2", "vector3", "vector4")


def edits_of_switch(document: MaterialXDocument, to_space: str) -> tuple[Edit, ...]:
    """Return the edits that give a document another working space and pin what it governs.

    Values that are no colours are not pinned: no name for them would leave them alone in every
    reader, and as long as they say nothing they are in the working space and stay as they are.

    Parameters
    ----------
    document
        The document, read.
    to_space
        Color Interop ID of the new working space.

    Raises
    ------
    RefusedError
        If MaterialX has no name for the new space, or an included file leaves its own space to
        the document: included files are not edited.
    """
    new = space_name(to_space)
    if new in ("", NO_CONVERSION):
        raise RefusedError(f"{why_no_name(to_space)}.", "Choose a space that MaterialX knows.")
    old = document.root.get(COLOURSPACE)
    if old == new:
        return ()
    exempt = {c.holder.path for c in Uses(document).colours() if c.exception}
    edits = [Edit(place=f"/@{COLOURSPACE}", before=old, after=new)]
    for element in document.root.below():
        if element.path in exempt or not _governed(document, element):
            continue
        if document.file_of(element) is not document.files[""]:
            raise RefusedError(
                f"{document.file_of(element).name} is included and says no colorspace of its own: "
                "another working space here would change its colours.",
                f"Write colorspace={old!r} into its root first.",
            )
        if document.stands(element):
            place = f"{document.path_of(element)}@{COLOURSPACE}"
            edits.append(Edit(place=place, before="", after=_pin(element, old)))
    return tuple(edits)


def _pin(element: Element, old: str) -> str:
    """Return the space to pin an element to: that of the interface that feeds it, or the old one.

    The library goes by the input inside a node graph; pinned so, both say the same.
    """
    name = element.get("interfacename")
    outer = element.graph.child(name) if name and element.graph else None
    said = outer.get(COLOURSPACE) if outer is not None else ""
    return said or old or NO_CONVERSION


def _governed(document: MaterialXDocument, element: Element) -> bool:
    """Whether an element takes its space from the root of the scene file, and heeds it."""
    kind, parent = element.get("type"), element.home
    fed = element.get("interfacename")
    if fed and (element.graph is None or element.graph.child(fed) is None):
        return False  # fed by an instance of a node that the document defines
    if not (fed or element.has("value")):
        return False
    if kind == "filename":
        if parent.get("type") in _COLOURLESS:
            return False
    elif not kind.startswith(COLOUR_TYPES):
        return False
    space = effective_space(document, element)
    return not space.own and space.origin in ("", "/") and not _carried(document, element)


def _carried(document: MaterialXDocument, element: Element) -> bool:
    """Whether an included file's own root says the space."""
    file = document.file_of(element)
    root = file.text.tags[0].attributes
    return file is not document.files[""] and COLOURSPACE in root
