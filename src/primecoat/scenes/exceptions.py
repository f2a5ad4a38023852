"""Colour-typed inputs of shader nodes that are no colours, with the rule that applies.

Source: MaterialX 1.39.5 libraries, whose nodes OpenUSD uses too.
"""

from __future__ import annotations

from primecoat.scenes.model import DATA_SLOTS

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
    ("", "sssRadius"): _DISTANCES,
    ("", "subsurfaceDistance"): _DISTANCES,
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
