"""Which channels of a part make one picture: layers, views, depth, vectors and identifiers.

Sources: OpenEXR *Technical Introduction*, "Channel Names and Layers" (R, G, B, A; Y, RY, BY; AR,
AG, AB; Z; names with dots are layers) and *Interpreting OpenEXR Deep Pixels* (ZBack); OpenEXR
*Multi-View* (``multiView``: the view is the last but one word of a channel's name; names without a
view are the default view's). Integer channels hold discrete data such as identifiers (the same,
"Image Channel"). N, P, UV, ID: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from primecoat.images.channels import colour_channels
from primecoat.images.header import ImageHeader, PartHeader

Kind = Literal["colour", "grey", "data", "open"]

_COLOUR = (("r", "g", "b"), ("red", "green", "blue"))
_ALPHA = ("a", "alpha", "ar", "ag", "ab")
_LUMINANCE = ("y", "ry", "by")
_DEPTH = ("z", "zback")
_VECTOR = ("x", "y", "z", "w")
_DATA_NAMES = frozenset(("n", "p", "uv", "u", "v", "st", "id"))
INTEGERS = ("uint32", "uint")
"""Types of discrete data such as identifiers, here and as OpenImageIO calls it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Channels of one part that belong together.

    Parameters
    ----------
    name
        Its name without view; empty for channels without a layer.
    view
        View of a stereo picture, or empty.
    channels, pixel_types
        Full channel names, colour in the order red, green, blue, and the type of each.
    kind
        ``colour`` and ``grey`` by the names that OpenEXR gives to colour and luminance, ``data``
        by names or types that no colour has, ``open`` where they leave it open.
    """

    name: str
    view: str
    channels: tuple[str, ...]
    pixel_types: tuple[str, ...]
    kind: Kind


def layers_of(part: PartHeader) -> tuple[Layer, ...]:
    """Return the layers of a part, those of the first view and without a name first.

    Examples
    --------
    >>> part = PartHeader(name="", channels=("B", "G", "N.X", "N.Y", "R", "Z"),
    ...                   pixel_types=("half",) * 6)
    >>> [(layer.name, layer.channels, layer.kind) for layer in layers_of(part)]
    [('', ('R', 'G', 'B'), 'colour'), ('', ('Z',), 'data'), ('N', ('N.X', 'N.Y'), 'data')]
    """
    groups: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
    for channel, pixel_type in zip(part.channels, part.pixel_types, strict=True):
        view, layer, base = _split(channel, part.views)
        groups.setdefault((view, layer), []).append((base, channel, pixel_type))
    ranks = {view: rank for rank, view in enumerate(part.views)}
    ordered = sorted(groups, key=lambda key: (bool(key[1]), ranks.get(key[0], len(ranks))))
    return tuple(
        Layer(
            name=layer,
            view=view,
            channels=tuple(channel for _, channel, _ in members),
            pixel_types=tuple(pixel_type for *_, pixel_type in members),
            kind=kind,
        )
        for view, layer in ordered
        for kind, members in _grouped(layer, groups[view, layer])
    )


def main_layer(header: ImageHeader) -> Layer | None:
    """Return the layer that a picture's reading is about: what its first part shows as colour.

    None if the part has no channels.
    """
    first = (
        header.part_headers[0]
        if header.part_headers
        else PartHeader(
            name="",
            channels=header.channels,
            pixel_types=(header.pixel_type,) * len(header.channels),
        )
    )
    layers = layers_of(first)
    shown = {header.channels[at] for at in colour_channels(header.channels)}
    return next((one for one in layers if shown & {*one.channels}), next(iter(layers), None))


_Member = tuple[str, str, str]
"""Last word of a channel's name in lower case, the whole name, and the type."""


def _split(channel: str, views: Sequence[str]) -> tuple[str, str, str]:
    """Return view, layer and last word of a channel's name."""
    *words, base = channel.split(".")
    if len(views) > 1 and words and words[-1] in views:
        return words[-1], ".".join(words[:-1]), base.lower()
    default = not words or len(views) == 1
    return views[0] if views and default else "", ".".join(words), base.lower()


def _grouped(layer: str, members: list[_Member]) -> Iterator[tuple[Kind, list[_Member]]]:
    """Yield the pictures among the channels of one layer, colour first."""
    floats = {m[0]: m for m in members if m[2] not in INTEGERS}
    whole = [m for m in members if m[2] in INTEGERS]
    triple = next((t for t in _COLOUR if all(name in floats for name in t)), ())
    taken = [*triple]
    if not triple and "y" in floats and "x" not in floats:
        taken = [name for name in _LUMINANCE if name in floats]
    integer_triple = next((t for t in _COLOUR if {*t} <= {m[0] for m in whole}), ())
    alpha = [name for name in floats if name in _ALPHA]
    if taken:
        kind: Kind = "colour" if triple or len(taken) == len(_LUMINANCE) else "grey"
        yield kind, [floats[name] for name in (*taken, *alpha)]
        alpha = []
    rest = [m for m in floats.values() if m[0] not in taken and m[0] not in _ALPHA]
    rest += [floats[name] for name in alpha]
    if integer_triple or layer:
        yield from _if_any("data", whole)
    else:
        yield from (("data", [m]) for m in whole)
    yield from _data_of(layer, rest)


def _data_of(layer: str, rest: list[_Member]) -> Iterator[tuple[Kind, list[_Member]]]:
    """Yield what is left beside colour and integers."""
    bases = {m[0] for m in rest}
    vector = "x" in bases
    if layer:
        by_name = layer.rpartition(".")[2].lower() in _DATA_NAMES
        by_channel = bases <= {*_VECTOR, *_DEPTH, *_DATA_NAMES, *_ALPHA}
        yield from _if_any("data" if by_name or by_channel else "open", rest)
        return
    if vector:  # a vector, or CIE XYZ
        yield "open", [m for m in rest if m[0] in _VECTOR]
        rest = [m for m in rest if m[0] not in _VECTOR]
    yield from _if_any("data", [m for m in rest if m[0] in _DEPTH])
    for member in rest:
        if member[0] not in _DEPTH:
            yield "data" if member[0] in (*_DATA_NAMES, *_ALPHA) else "open", [member]


def _if_any(kind: Kind, members: list[_Member]) -> Iterator[tuple[Kind, list[_Member]]]:
    if members:
        yield kind, members
