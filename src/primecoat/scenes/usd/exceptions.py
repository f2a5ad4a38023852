"""Colour-typed attributes of a stage that are no colours, with the rule that applies.

Source: UsdUI for the colours of a user interface; shader inputs as in ``scenes/exceptions.py``.
"""

from __future__ import annotations

from primecoat.scenes import exceptions


def exception_of(category: str, name: str, slot: str) -> str:
    """Return why a colour-typed attribute is no colour; empty if it is one.

    Parameters
    ----------
    category
        Category of the shader node; empty for other prims, whose names mean nothing here.
    name
        Name of the attribute.
    slot
        Where the value ends up.

    Examples
    --------
    >>> exception_of("standard_surface", "inputs:base_color", "base_color")
    ''
    >>> exception_of("luminance", "inputs:lumacoeffs", "base_color")
    "weights of a luminance: write those of the new space's primaries instead"
    """
    if name.startswith("ui:"):
        return "a colour of the user interface, which is never rendered"
    short = name.removeprefix("inputs:") if category else ""
    return exceptions.exception_of(category, short, slot)
