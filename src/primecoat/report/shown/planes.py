"""Which channels of a file are looked at."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.errors import UseError
from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.images.header import ImageHeader, PartHeader
from primecoat.images.layers import layers_of, main_layer


@dataclass(frozen=True, slots=True, kw_only=True)
class Planes:
    """Channels of one part.

    Parameters
    ----------
    part
        Number of the part.
    layer
        Name of the layer; empty for channels without one.
    colour
        Indices of one (grey), two (x and y) or three channels, in the part.
    alpha
        Index of alpha, or None.
    names
        Names of all these channels.
    """

    part: int
    layer: str
    colour: tuple[int, ...]
    alpha: int | None
    names: tuple[str, ...]

    @property
    def indices(self) -> tuple[int, ...]:
        """Indices of all of them, colour first."""
        return (*self.colour, *((self.alpha,) if self.alpha is not None else ()))


def planes_of(header: ImageHeader, layer: str = "") -> Planes:
    """Return the channels of a layer, by default those that the picture's reading is about.

    Parameters
    ----------
    header
        Of the file.
    layer
        Name of a layer (``diffuse``, ``left.diffuse``) or of a part; empty for the main one.

    Raises
    ------
    UseError
        If the file has no such layer.
    """
    parts = header.part_headers or (
        PartHeader(
            name="",
            channels=header.channels,
            pixel_types=(header.pixel_type,) * len(header.channels),
        ),
    )
    held = [(at, part, one) for at, part in enumerate(parts) for one in layers_of(part)]
    if not layer:
        main = main_layer(header)
        found = [entry for entry in held if entry[0] == 0 and entry[2] == main]
    else:
        found = [
            entry
            for entry in held
            if layer in (entry[2].name, f"{entry[2].view}.{entry[2].name}".strip("."))
        ] or [entry for entry in held if layer == entry[1].name]
    if not found:
        names = ", ".join(sorted({one.name or part.name for _, part, one in held} - {""}))
        raise UseError(
            f"The picture has no layer {layer!r}.",
            f"Use one of: {names}." if names else "It has one layer only, without a name.",
        )
    number, part, chosen = found[0]
    colour = colour_channels(chosen.channels)
    alpha = alpha_channel(chosen.channels)
    others = tuple(at for at in range(len(chosen.channels)) if at != alpha)
    if len(colour) < 3 and len(others) == 2:
        colour = others  # x and y of a normal map that leaves z out
    if not colour:
        colour, alpha = (0,), None
    places = [part.channels.index(name) for name in chosen.channels]
    taken = (*colour, *((alpha,) if alpha is not None else ()))
    return Planes(
        part=number,
        layer=chosen.name,
        colour=tuple(places[at] for at in colour),
        alpha=None if alpha is None else places[alpha],
        names=tuple(chosen.channels[at] for at in taken),
    )
