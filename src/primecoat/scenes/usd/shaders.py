"""What the identifiers of shader nodes say: node category, texture or not, channels.

Sources: *UsdPreviewSurface Specification* 2.5; MaterialX 1.39 libraries, whose node definitions
are named ``ND_<category>_<types>`` in USD.
"""

from __future__ import annotations

import re
from functools import lru_cache

from primecoat.scenes.channels import CHANNELS, PARTED, channels_of_output, slot_beyond

_TAIL = re.compile(
    r"_(?:float|color[34](?:FA)?|vector[234](?:FA)?|matrix(?:33|44)(?:FA)?|surfaceshader"
    r"|displacementshader|lightshader|integer|boolean|string|filename|BSDF|EDF|VDF|\d+)$"
)
_TEXTURES = frozenset(
    (
        "UsdUVTexture",
        "image",
        "tiledimage",
        "hextiledimage",
        "latlongimage",
        "triplanarprojection",
        "hextilednormalmap",
        "gltf_image",
        "gltf_colorimage",
        "gltf_normalmap",
        "gltf_iridescence_thickness",
        "gltf_anisotropy_image",
    )
)
_FILE_INPUTS = {
    "latlongimage": ("file",),
    "triplanarprojection": ("filex", "filey", "filez"),
}


@lru_cache(maxsize=1024)
def category_of(identifier: str) -> str:
    """Return the node category of a shader identifier.

    Examples
    --------
    >>> category_of("ND_standard_surface_surfaceshader"), category_of("ND_image_color3")
    ('standard_surface', 'image')
    >>> category_of("UsdUVTexture"), category_of("ND_gltf_image_color3_color3_1_0")
    ('UsdUVTexture', 'gltf_image')
    """
    name = identifier.removeprefix("ND_")
    if name == identifier:
        return identifier
    while True:
        shorter = _TAIL.sub("", name)
        if shorter == name:
            return name
        name = shorter


def is_texture(category: str) -> bool:
    """Whether a node reads a picture."""
    return category in _TEXTURES


def file_inputs(category: str) -> tuple[str, ...]:
    """Return the inputs of a texture node that name pictures."""
    return _FILE_INPUTS.get(category, ("file",))


def has_source_colour_space(category: str) -> bool:
    """Whether a node has the input ``sourceColorSpace``."""
    return category == "UsdUVTexture"


def texture_channels(output: str, kind: str, wanted: str) -> str:
    """Return which channels of its picture a texture node gives for what is wanted of it.

    Parameters
    ----------
    output, kind
        Name and type of the output that is connected.
    wanted
        Letters of ``rgba`` that flow on from it.

    Examples
    --------
    >>> texture_channels("g", "float", "r"), texture_channels("out", "color3", "rgb")
    ('g', 'rgb')
    """
    named = channels_of_output(output, wanted)
    if named:
        return named
    count = width(kind)
    return wanted if all(c in CHANNELS[:count] for c in wanted) else CHANNELS[: min(count, 3)]


def width(kind: str) -> int:
    """Return how many numbers a USD value type has; 3 where its name does not tell.

    Examples
    --------
    >>> width("float"), width("color3f"), width("float2"), width("color4f")
    (1, 3, 2, 4)
    """
    digit = next((c for c in kind if c in "234"), "")
    if digit:
        return int(digit)
    return 1 if kind in ("float", "half", "double", "int", "bool", "uint") else 3


def through(
    category: str, name: str, kind: str, output: str, slot: str, wanted: str
) -> tuple[str, str]:
    """Return slot and channels for what feeds an input of a node between texture and surface.

    Parameters
    ----------
    category
        The node's.
    name, kind
        The input, without ``inputs:``, and its type.
    output
        The node's output that is connected.
    slot, wanted
        What the output is wanted for. Empty channels: nothing of this input flows on.
    """
    slot, whole = slot_beyond(category, name, slot)
    if whole:
        return slot, CHANNELS[: min(width(kind), 3)]
    if output in PARTED:
        return slot, PARTED[output]
    if category.startswith("combine") and name.startswith("in"):
        place = int(name[2:]) - 1 if name[2:].isdigit() else 0
        if width(kind) == 1:
            return slot, "r" if place < 4 and CHANNELS[place] in wanted else ""
        return slot, wanted if place == 0 else ""
    return slot, "r" if width(kind) == 1 else wanted
