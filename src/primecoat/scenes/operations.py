"""Shader nodes that may give another colour in another working space, with the reason in words.

Sources: MaterialX 1.39.5 libraries, whose nodes OpenUSD uses too; *UsdPreviewSurface* 2.6.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.colour.operation_residual import Operation, OperationInput
from primecoat.scenes.exceptions import exception_of

_BY_CHANNEL = "it works on each channel by itself, and not in proportion"
_PRODUCT = "two colours are multiplied channel by channel"
_WEIGHED = (
    "its weights are those of the old primaries; with the weights of the new ones it would be exact"
)
_HUE = "hue and saturation are counted from the primaries"
_BLENDED = "the blend works on each channel by itself, and not in proportion"

REASONS: dict[str, str] = {
    "multiply": _PRODUCT,
    "divide": "a colour is divided by another channel by channel",
    "mix": "each channel is mixed by a share of its own",
    "contrast": "each channel is stretched by an amount of its own",
    "remap": "each channel is stretched by an amount of its own",
    "luminance": _WEIGHED,
    "saturate": _WEIGHED,
    "hsvadjust": _HUE,
    "rgbtohsv": _HUE,
    "hsvtorgb": _HUE,
    "colorcorrect": f"{_BY_CHANNEL}, or turns hue and saturation",
    "curveadjust": "each channel goes through a curve of its own",
    **dict.fromkeys(("burn", "dodge", "screen", "overlay", "difference"), _BLENDED),
    **dict.fromkeys(
        (
            "ceil",
            "clamp",
            "exp",
            "floor",
            "fract",
            "ln",
            "max",
            "min",
            "modulo",
            "power",
            "range",
            "round",
            "safepower",
            "smoothstep",
            "sqrt",
        ),
        _BY_CHANNEL,
    ),
}
"""Node category to why it may not commute with a change of primaries. What is not named does:
sums, differences, inversion, ramps and anything steered by one number for all channels."""

FACTORED = ("gltf_image", "gltf_colorimage")
"""Picture nodes with a factor of their own."""

FACTOR = "the picture is multiplied by the node's own factor channel by channel"
SCALE_BIAS = (
    "scale and bias work on each channel by itself, and stay as they are: they are no colours"
)
ATTENUATION = (
    "light fades by this colour along the way, by a power of it in each channel: "
    "only at one depth is the converted colour exact"
)


@dataclass(frozen=True, slots=True)
class Fed:
    """One input of a node, as a scene format found it.

    Parameters
    ----------
    name, kind
        Its name and type, as in MaterialX or USD.
    numbers
        Its value; None if something feeds it.
    space
        Reading of the space it is in, if it is not simply the working space.
    grey
        Whether what feeds it has the same number in all channels.
    """

    name: str
    kind: str
    numbers: tuple[float, ...] | None = None
    space: str | None = None
    grey: bool = False


def operation_of(category: str, slot: str, inputs: Iterable[Fed]) -> Operation | None:
    """Return what a node does to the colours that meet in it; None if it may be left alone.

    Parameters
    ----------
    category
        The node's category.
    slot
        Slot that its result ends up in.
    inputs
        Those of its inputs that are written.

    Examples
    --------
    >>> picture = Fed("in1", "color3")
    >>> operation_of("add", "base_color", [picture]) is None
    True
    >>> found = operation_of("multiply", "base_color", [picture, Fed("in2", "float", (0.5,))])
    >>> found.inputs[1].width, found.inputs[1].colour
    (1, False)
    """
    if category not in REASONS:
        return None
    return Operation(kind=category, inputs=tuple(_input(category, slot, i) for i in inputs))


def _input(category: str, slot: str, fed: Fed) -> OperationInput:
    wide = fed.kind.startswith(("color", "vector")) and not fed.grey
    triple = wide and not fed.kind.startswith("vector2")
    # a vector is a colour here only where it carries one; its constants are never converted
    typed = fed.kind.startswith("color") or (fed.numbers is None and fed.name in _CARRIERS)
    colour = triple and typed and not exception_of(category, fed.name, slot)
    return OperationInput(
        name=fed.name,
        value=fed.numbers[:3] if fed.numbers is not None else None,
        colour=colour,
        width=3 if triple else 1,
        space=fed.space if fed.space in SPACES else None,
        known_space=fed.space not in (UNKNOWN, DATA),
    )


_CARRIERS = ("in", "in1", "in2", "fg", "bg")
"""Inputs whose content flows on."""
