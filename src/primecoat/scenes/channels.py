"""What nodes between a texture and a surface do to slots and channels, in MaterialX and in USD.

Source: *MaterialX Specification 1.39* and its libraries, whose nodes USD uses under the same names.
"""

from __future__ import annotations

CHANNELS = "rgba"

LETTERS = {**dict(zip(CHANNELS, CHANNELS, strict=True)), **dict(zip("xyzw", CHANNELS, strict=True))}
"""Channels by either way of writing them."""

PARTED = {f"out{letter}": channel for letter, channel in LETTERS.items()}
"""Outputs of ``separate2``..``separate4``, each with its channel."""

_OUTPUTS = {
    **PARTED,
    **dict(zip(CHANNELS, CHANNELS, strict=True)),
    "outcolor": "rgb",
    "rgb": "rgb",
    "rgba": "rgba",
}
"""Those, and the outputs of ``UsdUVTexture`` and ``gltf_colorimage``."""

_STEERING = {
    "mix": "mask",
    "mask": "mask",
    **dict.fromkeys(("amount", "center", "index", "lumacoeffs", "offset", "pivot"), "other_data"),
    **dict.fromkeys(("position", "rotate", "st", "texcoord"), "other_data"),
    **dict.fromkeys(("value1", "value2", "which"), "other_data"),
}
"""Inputs whose content steers a node instead of flowing on, and the slot that makes them."""

_WHOLE = frozenset(
    (
        "colorcorrect",
        "dotproduct",
        "hsvadjust",
        "hsvtorgb",
        "luminance",
        "magnitude",
        "normalmap",
        "rgbtohsv",
        "saturate",
    )
)
"""Nodes every channel of whose output takes all channels of the input ``in``."""

_FROM_HEIGHT = {"heighttonormal": "in", "bump": "height"}
"""Nodes that make normals of a height, with the input that takes it."""

_INVERSE = {"roughness": "glossiness", "glossiness": "roughness"}


def slot_beyond(category: str, name: str, slot: str) -> tuple[str, bool]:
    """Return the slot of what feeds an input of a node, and whether all channels of it are wanted.

    Parameters
    ----------
    category, name
        The node's category, and the input.
    slot
        What the node's output is wanted for.

    Examples
    --------
    >>> slot_beyond("invert", "in", "roughness"), slot_beyond("mix", "mix", "base_color")
    (('glossiness', False), ('mask', True))
    """
    if name in _STEERING and not (category == "mix" and name != "mix"):
        return _STEERING[name], True
    if _FROM_HEIGHT.get(category) == name:
        return "height", True
    if category == "invert" and name == "in":
        return _INVERSE.get(slot, slot), False
    return slot, category in _WHOLE and name == "in"


def channels_of_output(output: str, wanted: str) -> str:
    """Return the channels that the name of an output says, of those wanted; empty if it says none.

    Examples
    --------
    >>> [channels_of_output(output, "ra") for output in ("outg", "rgb", "out")]
    ['g', 'r', '']
    """
    named = _OUTPUTS.get(output, "")
    common = "".join(c for c in named if c in wanted)
    return named if len(named) == 1 else common or named
