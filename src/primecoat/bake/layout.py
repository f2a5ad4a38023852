"""How a baked part is laid out: its channels, their types, its tiles and levels, its header."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from primecoat.bake.convert_part import LayerBake, keeps_neutrals
from primecoat.bake.labels import PINNED_DATE, kept_header
from primecoat.colour.ids import SPACES
from primecoat.errors import ImageError, RefusedError
from primecoat.images.colour_layers import ColourLayer, colour_layers
from primecoat.images.part import Attribute, Part
from primecoat.images.true_statement import says_grey, statement
from primecoat.plan.recipe import Storage

FORMATS = {".exr": "openexr", ".tif": "tiff", ".png": "png"}
"""The image library's names of the formats that are written."""

_TILE = 64
"""Tiles of a picture that gets smaller levels and has none: the usual size, no source."""

_HELD = {"half", "float", "uint"}
"""Types of channels that OpenEXR holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One part as it becomes, and what goes where.

    Parameters
    ----------
    part, new
        As it is read and as it is written.
    layers
        Layers to convert.
    carried
        Channels that are kept: from channel, to channel.
    """

    part: Part
    new: Part
    layers: tuple[LayerBake, ...]
    carried: tuple[tuple[int, int], ...]


def lay_out(
    part: Part,
    readings: Sequence[tuple[ColourLayer, str]],
    *,
    source_format: str,
    to_space: str,
    config: str,
    storage: Storage,
    number: str,
    multiplied: bool,
    record: tuple[Attribute, ...],
) -> Layout:
    """Lay out one part.

    Parameters
    ----------
    part
        As it is read.
    readings
        The layers to convert, with the readings of their numbers.
    source_format
        The image library's name of the source's format.
    to_space, config, storage
        The recipe.
    number
        Type that colour is stored as.
    multiplied
        Whether colour is stored multiplied by alpha.
    record
        What is written of the bake.

    Raises
    ------
    RefusedError
        If the format cannot hold such a part, or has no true way to state the space.
    """
    channels, types, layers, carried = _channels(part, readings, to_space, config, storage, number)
    ending = storage.ending
    if ending != ".exr" and (not layers or len(carried) > 1 or _beside_alpha(part, carried)):
        raise RefusedError(
            f"A {ending} file does not hold the channels {', '.join(part.channels)}.",
            "Store it as .exr.",
        )
    tile, levels = _tiles_and_levels(part, storage)
    if levels > 1 and "uint" in types:
        raise RefusedError(
            "Smaller levels are means, and its 32-bit whole numbers (IDs) have none.",
            "Bake it without levels, or take the IDs out.",
        )
    if layers:
        said = statement(to_space, ending)
    else:
        said = tuple(a for a in part.header if a[0] == "colorInteropID")
    kept = kept_header(part.header, same_format=source_format == FORMATS[ending])
    kept = of_levels(kept, levels, ending)
    how: list[Attribute] = [("compression", "string", storage.packed), PINNED_DATE]
    if ending == ".tif":
        how.append(("oiio:UnassociatedAlpha", "int", int(not multiplied)))
        if number == "half":
            how.append(("tiff:half", "int", 1))
    new = replace(
        part,
        channels=channels,
        types=types,
        tile=tile,
        levels=levels,
        header=(*kept, *said, *how, *record, *_not_baked(part, layers)),
    )
    return Layout(part=part, new=new, layers=layers, carried=carried)


def _channels(
    part: Part,
    readings: Sequence[tuple[ColourLayer, str]],
    to_space: str,
    config: str,
    storage: Storage,
    number: str,
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[LayerBake, ...], tuple[tuple[int, int], ...]]:
    """Return names and types of the new channels, where colour goes, and what is kept.

    A grey layer becomes red, green and blue where neutral colours do not stay equal numbers, or
    where the label is a profile of three channels.
    """
    first_of = {layer.channels[0]: (layer, reading) for layer, reading in readings}
    grey_says = says_grey(to_space, storage.ending)
    names: list[str] = []
    types: list[str] = []
    places: dict[int, tuple[int, ...]] = {}
    for index, (name, kind) in enumerate(zip(part.channels, part.types, strict=True)):
        places[index] = (len(names),)
        layer, reading = first_of.get(index, (None, ""))
        if (
            layer is not None
            and len(layer.channels) == 1
            and not (grey_says and keeps_neutrals(reading, to_space, config))
        ):
            places[index] = tuple(range(len(names), len(names) + 3))
            stem = f"{layer.name}." if layer.name else ""
            names += [stem + letter for letter in "RGB"]
        else:
            names.append(name)
        coloured = any(index in colour.channels for colour, _ in readings)
        new_kind = number if coloured or number.startswith("uint") else _held(kind)
        if storage.ending == ".tif":
            new_kind = number  # the format has one type for all channels
        types += [new_kind] * len(places[index])
    layers = tuple(
        LayerBake(layer=layer, reading=reading, to=sum((places[c] for c in layer.channels), ()))
        for layer, reading in readings
    )
    colour = {channel for layer, _ in readings for channel in layer.channels}
    carried = tuple((at, to[0]) for at, to in places.items() if at not in colour)
    return tuple(names), tuple(types), layers, carried


def _held(kind: str) -> str:
    """Return the type that OpenEXR keeps a channel in; float holds whole numbers exactly."""
    return kind if kind in _HELD else "float"


def _beside_alpha(part: Part, carried: tuple[tuple[int, int], ...]) -> bool:
    return any(part.channels[at].lower() not in ("a", "alpha") for at, _ in carried)


def _tiles_and_levels(part: Part, storage: Storage) -> tuple[tuple[int, int] | None, int]:
    if storage.ending == ".png":
        return None, 1
    asked = (storage.tile, storage.tile)
    tile = {0: None, -1: part.tile}.get(storage.tile, asked)
    smaller = storage.levels == "yes" or (storage.levels == "as source" and part.levels > 1)
    if not smaller:
        return tile, 1
    return tile or (_TILE, _TILE), max(part.width, part.height).bit_length()


def of_levels(header: tuple[Attribute, ...], levels: int, ending: str) -> tuple[Attribute, ...]:
    """Return a header that does not ask for levels where there are none.

    ``textureformat`` says what is pictured (a flat texture, an environment), and makes the
    OpenEXR writer expect levels. PNG has no levels and no such word.
    """
    if levels > 1:
        return header
    if ending == ".png":
        return tuple(a for a in header if a[0] != "textureformat")
    kept = tuple(a for a in header if (a[0], a[2]) != ("textureformat", "Plain Texture"))
    said = any(name == "textureformat" for name, _, _ in kept)
    return (*kept, ("openexr:levelmode", "int", 0)) if said and ending == ".exr" else kept


def _not_baked(part: Part, layers: tuple[LayerBake, ...]) -> tuple[Attribute, ...]:
    """Say which colour layers of a baked part are not in the new space."""
    done = {baked.layer.name for baked in layers}
    left = [layer.name or "RGB" for layer in colour_layers(part.channels) if layer.name not in done]
    return (("primecoat:carried", "string", ", ".join(left)),) if layers and left else ()


def chosen_layers(
    source: str,
    parts: Sequence[Part],
    reading: str,
    named: dict[tuple[int, str], str],
) -> tuple[tuple[tuple[ColourLayer, str], ...], ...]:
    """Return what is converted in each part: the first colour layer, and those that are named.

    Raises
    ------
    ImageError
        If there is no colour by the channels' names.
    """
    found, first = [], True
    for number, part in enumerate(parts):
        chosen = []
        for layer in colour_layers(part.channels):
            own = named.get((number, layer.name), reading if first else None)
            first = False
            if own in SPACES:
                chosen.append((layer, str(own)))
        found.append(tuple(chosen))
    if not any(found):
        names = ", ".join(name for part in parts for name in part.channels)
        raise ImageError(
            f"Cannot bake {source}: its channels {names} hold no colour by name.",
            "Name them R, G and B (or Y) where it was made, or use the tag route.",
        )
    return tuple(found)
