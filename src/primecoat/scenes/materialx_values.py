"""The colours that stand in a MaterialX document.

Source: MaterialX 1.39.5 libraries; *MaterialX Specification 1.39*, section *Values*: numbers of a
value are parted by commas, and spaces are taken too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from primecoat.scenes.materialx_element import Element
from primecoat.scenes.materialx_spaces import COLOUR_TYPES
from primecoat.scenes.model import LARGEST

VALUE_TYPES = (*COLOUR_TYPES, "color3array", "color4array")
DEFINITIONS = ("nodedef", "attributedef", "typedef", "implementation", "geompropdef")
_NUMBER = re.compile(r"[^\s,]+")


def is_value(element: Element) -> bool:
    """Whether an element is a colour-typed value of the scene, not the default of a definition."""
    if element.get("type") not in VALUE_TYPES or not element.has("value"):
        return False
    parent = element.parent
    categories = (element.category, parent.category if parent else "")
    return not any(c in DEFINITIONS for c in categories)


def numbers_of(text: str, kind: str) -> tuple[tuple[float, ...], ...] | None:
    """Return the colours in a value, one a tuple; None if it is no value of the type.

    Examples
    --------
    >>> numbers_of("0.5, 0.2 0.1", "color3"), numbers_of("1, 1", "color3")
    (((0.5, 0.2, 0.1),), None)
    """
    size = 4 if kind.startswith("color4") else 3
    try:
        flat = [float(part) for part in _NUMBER.findall(text)]
    except ValueError:
        return None
    if not flat or len(flat) % size or any(not abs(v) <= LARGEST for v in flat):
        return None
    rows = tuple(tuple(flat[at : at + size]) for at in range(0, len(flat), size))
    return rows if kind.endswith("array") or len(rows) == 1 else None


def colour_text(written: str, colours: Sequence[tuple[float, float, float]]) -> str:
    """Return a value's text with other colours in it; what parts the numbers stays, and alpha.

    Parameters
    ----------
    written
        The text that stands there, with three or four numbers for each colour.
    colours
        The new colours, as many as stand there.

    Examples
    --------
    >>> colour_text("1,0, 0 , .50", [(0.613097, 0.070194, 0.020616)])
    '0.613097,0.070194, 0.020616 , .50'
    """
    size = len(_NUMBER.findall(written)) // len(colours)
    new = iter(f"{colour[at]:.9g}" if at < 3 else "" for colour in colours for at in range(size))
    return _NUMBER.sub(lambda match: next(new) or match[0], written)
