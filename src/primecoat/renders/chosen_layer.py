"""Which layer of which part of a file is the render that is meant."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import UseError
from primecoat.images.colour_layers import ColourLayer, colour_layers
from primecoat.images.header import ImageHeader
from primecoat.images.part import Part


def chosen_layer(
    path: Path, header: ImageHeader, parts: tuple[Part, ...], layer: str, wanted: str | int | None
) -> tuple[int, ColourLayer]:
    """Return the number of a part, and its layer of colour.

    Parameters
    ----------
    path, header, parts
        The file, and what it holds.
    layer
        Name of the layer; empty for the layer without a name, else the first one.
    wanted
        Name or number of the part; None for the first that has the layer.

    Raises
    ------
    UseError
        If there is no such layer or part.
    """
    names = [held.name for held in header.part_headers] or [""]
    found: list[tuple[int, ColourLayer]] = []
    for number, held in enumerate(parts):
        name = names[number] if number < len(names) else ""
        if wanted is None or wanted in (number, str(number), name):
            found += [(number, one) for one in colour_layers(held.channels)]
            if not found and len(held.channels) in (1, 2):
                alpha = 1 if len(held.channels) == 2 else None  # grey has many channel names
                found.append((number, ColourLayer(name="", channels=(0,), alpha=alpha)))
    fitting = [one for one in found if one[1].name == layer] or ([] if layer else found)
    if not fitting:
        held_words = ", ".join(f"{one.name or 'without a name'} (part {n})" for n, one in found)
        asked = f"layer {layer!r}" if layer else "layer of colour"
        place = "" if wanted is None else f" in part {wanted}"
        raise UseError(
            f"{path} has no {asked}{place}.",
            f"Name one of its layers of colour: {held_words}."
            if found
            else "Name another part or file.",
        )
    return fitting[0]
