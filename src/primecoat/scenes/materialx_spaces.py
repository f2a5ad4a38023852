"""The colour space that a MaterialX element is in, where that comes from, and what happens today.

Source: *MaterialX Specification 1.39*, *Color Spaces and Color Management Systems*: the nearest
enclosing ``colorspace`` counts, the root's is the working space of the document, and ``none``,
also where nothing is set, means no conversion. What the library itself does was measured:
docs/decisions/0009-materialx.md.
"""

from __future__ import annotations

from typing import NamedTuple

from primecoat.colour.ids import DATA, UNKNOWN
from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_file import MaterialXDocument
from primecoat.scenes.materialx_names import CONVERTED, NO_CONVERSION, reading_of

COLOUR_TYPES = ("color3", "color4")
COLOURSPACE = "colorspace"


class EffectiveSpace(NamedTuple):
    """The space an element is in; a tuple, because there are many and a tuple is made fastest.

    Parameters
    ----------
    name
        As written; empty if nothing says it.
    origin
        Path of the element that says it, ``/`` for the root; empty if nothing does.
    own
        Whether the element itself says it.
    words
        The same for people.
    """

    name: str
    origin: str
    own: bool
    words: str


def effective_space(document: MaterialXDocument, element: Element) -> EffectiveSpace:
    """Return the space of an element: its own, else that of the nearest element around it."""
    at: Element | None = element
    while at is not None:
        # an element at the top of an included file may carry that file's space: a copy
        if at.has(COLOURSPACE):
            name = at.get(COLOURSPACE)
            file, place = document.file_of(at), document.path_of(at)
            number = file.text.by_path.get(place)
            copied = number is None or COLOURSPACE not in file.text.tags[number].attributes
            origin = "/" if copied else place
            own = at is element and not copied
            return EffectiveSpace(name, origin, own, _words(file.name, origin, name))
        at = at.parent
    return EffectiveSpace("", "", False, "no element around it has a colorspace")


def _words(file: str, place: str, name: str) -> str:
    if place == "/":
        return f"the root of {file} says colorspace {name!r}, the document's working space"
    return f"{file}#{place} says colorspace {name!r}"


def is_colour_image(kind: str, output: str = "") -> bool:
    """Whether MaterialX reads an image node of a type as colour, at one of its outputs.

    Examples
    --------
    >>> is_colour_image("color3"), is_colour_image("vector3"), is_colour_image("multioutput")
    (True, False, True)
    """
    return kind in COLOUR_TYPES or (kind == "multioutput" and output not in tuple("rgba"))


def reads_today(space: EffectiveSpace, root: str, colour: bool, kind: str) -> tuple[str, str]:
    """Return how MaterialX reads an image now, and why.

    Parameters
    ----------
    space
        The effective space of its ``filename`` input.
    root
        The document's working space, as written.
    colour, kind
        Whether the image is read as colour, and the type that decides it.
    """
    if not colour:
        return DATA, f"it is read as {kind}, and MaterialX converts only color3 and color4"
    if space.name in ("", NO_CONVERSION):
        return DATA, f"{space.words}, so MaterialX uses the numbers as they stand"
    reading = reading_of(space.name)
    if reading is None or reading == DATA:
        return reading or UNKNOWN, f"{space.words}, a name that the MaterialX libraries do not know"
    return reading, space.words + _caveat(space.name, root)


def _caveat(name: str, root: str) -> str:
    """Return, behind a semicolon, why MaterialX's own transforms do nothing; empty if they do."""
    if name == root:
        return ""
    if root in ("", NO_CONVERSION):
        return "; the document names no working space, so nothing is converted to it"
    target = reading_of(root)
    if target == reading_of(name):
        return ""
    if target != "lin_rec709_scene":
        return f"; MaterialX's own transforms lead to lin_rec709 only, none leads to {root}"
    if name in CONVERTED:
        return ""
    return f"; MaterialX's own libraries hold no transform for {name}"
