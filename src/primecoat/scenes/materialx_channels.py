"""Which channels of a node's inputs reach the channels that are wanted of its output.

Source: *MaterialX Specification 1.39*, sections *Channel Nodes* and *Texture Nodes*; ``swizzle``
and the ``channels`` attribute are those of 1.38.
"""

from __future__ import annotations

from primecoat.scenes.channels import CHANNELS, LETTERS, channels_of_output, slot_beyond
from primecoat.scenes.materialx_element import Element

_WIDTHS = {"float": 1, "vector2": 2, "vector3": 3, "color3": 3, "vector4": 4, "color4": 4}


class OutOfFlow(Exception):  # noqa: N818 - it is no error: the input is simply not wanted
    """Nothing of an input reaches the wanted channels."""


def inputs_of(node: Element) -> list[Element]:
    """Return the inputs of a node; ``parameter`` is what some of them were called up to 1.37."""
    return [c for c in node.children if c.category in ("input", "parameter")]


def width(kind: str) -> int:
    """Return how many channels a type has; 1 for types that are no numbers.

    Examples
    --------
    >>> width("color3"), width("float"), width("filename")
    (3, 1, 1)
    """
    return _WIDTHS.get(kind, 1)


def by_output(node: Element, output: str, channels: str) -> str:
    """Return which channels of a node are wanted when one of its outputs is.

    For nodes that separate channels, and images with several outputs, the output says it.
    """
    mapped = channels_of_output(output, channels) if node.get("type") == "multioutput" else ""
    return mapped or channels


def through(node: Element, item: Element, slot: str, channels: str) -> tuple[str, str]:
    """Return the slot and the channels for what feeds an input of a node.

    Parameters
    ----------
    node, item
        The node and its input.
    slot, channels
        What the node's output is wanted for.

    Raises
    ------
    OutOfFlow
        If nothing of the input is wanted.
    """
    category, name, kind = node.category, item.name, item.get("type")
    everything = CHANNELS[: width(kind)]
    if kind == "filename":
        return slot, _of_image(node.get("type"), channels)
    slot, whole = slot_beyond(category, name, slot)
    if whole or category == "UsdUVTexture" or category.startswith("gltf_"):
        return slot, everything
    if category == "extract" and name == "in":
        return slot, CHANNELS[_whole_number(node, "index") % 4]
    if category == "swizzle" and name == "in":
        return slot, _swizzled(node, channels)
    if category.startswith("combine"):
        return slot, _combined(node, name, channels)
    if width(kind) == 1:
        return slot, "r"
    return slot, "".join(c for c in channels if c in everything) or everything


def _of_image(kind: str, channels: str) -> str:
    """Return the wanted channels that an image node of a type has."""
    everything = CHANNELS[: _WIDTHS.get(kind, 4)]
    return "".join(c for c in CHANNELS if c in channels and c in everything) or everything


def _whole_number(node: Element, name: str) -> int:
    item = node.child(name)
    text = item.get("value") if item is not None else ""
    return int(text) if text.isdecimal() else 0


def _swizzled(node: Element, channels: str) -> str:
    item = node.child("channels")
    text = item.get("value") if item is not None else ""
    wanted = [text[at] for at in range(len(text)) if at < 4 and CHANNELS[at] in channels]
    letters = {LETTERS[c] for c in wanted if c in LETTERS}
    return "".join(c for c in CHANNELS if c in letters) or channels


def _combined(node: Element, name: str, channels: str) -> str:
    """Return the channels wanted of one part that ``combine2``..``combine4`` put together."""
    at = 0
    for item in inputs_of(node):
        size = width(item.get("type"))
        if item.name == name:
            part = CHANNELS[at : at + size]
            wanted = "".join(CHANNELS[i] for i, c in enumerate(part) if c in channels)
            if not wanted:
                raise OutOfFlow
            return wanted
        at += size
    raise OutOfFlow
