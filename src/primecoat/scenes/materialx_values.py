"""The colours that stand in a MaterialX document, and the colour-typed inputs that are none.

Source: MaterialX 1.39.5 libraries; *MaterialX Specification 1.39*, section *Values*: numbers of a
value are parted by commas, and spaces are taken too.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from primecoat.scenes.materialx_spaces import COLOUR_TYPES
from primecoat.scenes.model import DATA_SLOTS, LARGEST

VALUE_TYPES = (*COLOUR_TYPES, "color3array", "color4array")
DEFINITIONS = ("nodedef", "attributedef", "typedef", "implementation", "geompropdef")
_NUMBER = re.compile(r"[^\s,]+")

_DISTANCES = "distances in scene units for red, green and blue light; they stay as they are"
_WEIGHTS = "weights of a luminance: write those of the new space's primaries instead"
_SHARES = "shares for red, green and blue that steer a node; they stay as they are"
_CONSTANTS = (
    "optical constants measured for red, green and blue light; take them anew for the new primaries"
)
_EXCEPTIONS: dict[tuple[str, str], str] = {
    ("", "lumacoeffs"): _WEIGHTS,
    ("", "subsurface_radius"): _DISTANCES,
    ("", "subsurface_radius_scale"): _DISTANCES,
    ("subsurface_bsdf", "radius"): _DISTANCES,
    ("LamaSSS", "sssRadius"): _DISTANCES,
    ("disney_principled", "subsurfaceDistance"): _DISTANCES,
    ("", "opacity"): "shares of red, green and blue light that are let through, no colour",
    ("", "ior"): _CONSTANTS,
    ("", "extinction"): _CONSTANTS,
    ("mix", "mix"): _SHARES,
    ("contrast", "amount"): _SHARES,
    ("range", "gamma"): _SHARES,
    ("power", "in2"): "exponents for red, green and blue, no colour",
    ("safepower", "in2"): "exponents for red, green and blue, no colour",
}
"""Category (empty: any) and input to the rule."""


def is_value(element: Any) -> bool:
    """Whether an element is a colour-typed value of the scene, not the default of a definition."""
    if element.getAttribute("type") not in VALUE_TYPES or not element.hasAttribute("value"):
        return False
    parent = element.getParent()
    categories = (element.getCategory(), parent.getCategory() if parent else "")
    return not any(c in DEFINITIONS for c in categories)


def exception_of(category: str, name: str, slot: str) -> str:
    """Return why a colour-typed input is no colour; empty if it is one.

    Parameters
    ----------
    category, name
        The node's category and the input's name.
    slot
        Where the value ends up.

    Examples
    --------
    >>> exception_of("standard_surface", "base_color", "base_color")
    ''
    >>> exception_of("luminance", "lumacoeffs", "other_data")
    "weights of a luminance: write those of the new space's primaries instead"
    """
    rule = _EXCEPTIONS.get((category, name)) or _EXCEPTIONS.get(("", name))
    if rule:
        return rule
    return f"it ends up in {slot} only, which is no colour" if slot in DATA_SLOTS else ""


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
