"""Colour-typed attributes that are no colours, with the rule that applies.

Source: MaterialX 1.39.5 libraries; UsdUI for the colours of a user interface.
"""

from __future__ import annotations

from primecoat.scenes.model import DATA_SLOTS

_DISTANCES = "distances in scene units for red, green and blue light; they stay as they are"
_WEIGHTS = "weights of a luminance: write those of the new space's primaries instead"
_SHARES = "shares of red, green and blue that steer a node; they stay as they are"
_CONSTANTS = (
    "optical constants measured for red, green and blue light; take them anew for the new primaries"
)
_EXPONENTS = "exponents for red, green and blue, no colour"

_RULES: dict[tuple[str, str], str] = {
    ("", "lumacoeffs"): _WEIGHTS,
    ("", "subsurface_radius"): _DISTANCES,
    ("", "subsurface_radius_scale"): _DISTANCES,
    ("subsurface_bsdf", "radius"): _DISTANCES,
    ("", "opacity"): "shares of red, green and blue light that are let through, no colour",
    ("", "ior"): _CONSTANTS,
    ("", "extinction"): _CONSTANTS,
    ("mix", "mix"): _SHARES,
    ("contrast", "amount"): _SHARES,
    ("range", "gamma"): _SHARES,
    ("power", "in2"): _EXPONENTS,
    ("safepower", "in2"): _EXPONENTS,
}
"""Node category (empty: any shader) and input to the rule."""


def exception_of(category: str, name: str, slot: str) -> str:
    """Return why a colour-typed attribute is no colour; empty if it is one.

    Parameters
    ----------
    category
        Category of the shader node; empty for other prims.
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
    short = name.removeprefix("inputs:")
    rule = _RULES.get((category, short)) or (_RULES.get(("", short)) if category else "")
    if rule:
        return rule
    return f"it ends up in {slot} only, which is no colour" if slot in DATA_SLOTS else ""
