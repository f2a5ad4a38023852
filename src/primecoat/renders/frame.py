"""One render as it is compared: which numbers of a file, and the space they are said to be in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import (
    DEFAULT_CONFIG,
    DEFAULT_DISPLAY,
    DEFAULT_VIEW,
    through_view,
)
from primecoat.errors import UseError
from primecoat.images.oiio import read_bands as decoded_bands
from primecoat.images.oiio_stream import read_parts
from primecoat.images.read_header import read_header
from primecoat.renders.chosen_layer import chosen_layer
from primecoat.renders.said_space import said_space
from primecoat.renders.sequence import sequence

__all__ = [
    "Frame",
    "Rows",
    "Seen",
    "open_frame",
    "read_bands",
    "read_bands_with_alpha",
    "same_size",
    "seen_rows",
    "sequence",
]

Rows = NDArray[np.float32]
"""Shape (rows, width, 3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One layer of one part of a file, and what its numbers mean.

    Parameters
    ----------
    path
        The file.
    width, height
        Size of the pixels stored.
    origin
        Column and row of the first pixel within the whole frame.
    space
        Color Interop ID of the numbers.
    said_by
        Who says so: ``person``, or the kind of statement in the file.
    alpha
        Whether there is alpha beside the colour.
    layer
        Name of the layer; empty for channels without a layer.
    part
        Number of the part.
    channels
        Channels in the file of red, green, blue (one for grey), then alpha if there is one.
    stored
        Stored type of the colour: ``uint8``, ``half`` and so on.
    multiplied
        Whether colour is stored multiplied by alpha.
    """

    path: Path
    width: int
    height: int
    space: str
    origin: tuple[int, int] = (0, 0)
    said_by: str = "person"
    alpha: bool = False
    layer: str = ""
    part: int = 0
    channels: tuple[int, ...] = (0, 1, 2)
    stored: str = "half"
    multiplied: bool = False

    @property
    def display_referred(self) -> bool:
        """Whether the numbers stand for light on a display."""
        return SPACES[self.space].referred == "display"

    @property
    def grey(self) -> bool:
        """Whether it has one channel of colour."""
        return len(self.channels) - self.alpha == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """How a frame is looked at.

    Parameters
    ----------
    display
        Display of the config.
    view
        View of that display; None for numbers that are display-referred already.
    config
        Built-in name or path.
    """

    display: str = DEFAULT_DISPLAY
    view: str | None = DEFAULT_VIEW
    config: str = DEFAULT_CONFIG


def open_frame(
    path: Path,
    *,
    space: str | None,
    layer: str = "",
    part: str | int | None = None,
    config: str = DEFAULT_CONFIG,
    option: str = "--in-a SPACE for the first picture, --in-b SPACE for the second",
) -> Frame:
    """Return a frame, its space said by a person or stated by the file.

    Parameters
    ----------
    path
        OpenEXR, PNG, TIFF, JPEG or Radiance HDR.
    space
        What a person says: a Color Interop ID or another name of the space. It rules over the
        file. None: the file must state it itself; a hint (chromaticities) is no statement.
    layer
        Layer of channels; empty for the layer without a name, else the only or first one.
    part
        Name or number of the part; None for the first that has the layer.
    config
        OpenColorIO config that knows the space.
    option
        Where a person says it, for the message.

    Raises
    ------
    UseError
        If nobody says the space, or it is no colour space; if there is no such layer or part.
    ImageError
        If the file cannot be read.
    """
    header = read_header(path)
    parts = read_parts(path)
    number, chosen = chosen_layer(path, header, parts, layer, part)
    said, by = said_space(path, header, number, space, config, option)
    held = parts[number]
    window = held.window or (0, 0, held.width, held.height)
    has_alpha = chosen.alpha is not None
    return Frame(
        path=path,
        width=held.width,
        height=held.height,
        origin=(held.origin[0] - window[0], held.origin[1] - window[1]),
        space=said,
        said_by=by,
        alpha=has_alpha,
        layer=chosen.name,
        part=number,
        channels=(*chosen.channels, *((chosen.alpha,) if chosen.alpha is not None else ())),
        stored=held.types[chosen.channels[0]],
        multiplied=has_alpha and header.alpha == "associated",
    )


def read_bands(frame: Frame) -> Iterator[tuple[int, Rows]]:
    """Decode a frame from top to bottom.

    Yields
    ------
    tuple
        First row, and RGB rows of shape (rows, width, 3), float32, C-contiguous: whole numbers
        scaled to 0 to 1, grey three times. Scene-linear numbers are as rendered; from numbers
        with a curve, alpha that was multiplied in is divided out, since the curve goes over the
        colour alone.
    """
    for first, rows, _ in read_bands_with_alpha(frame):
        yield first, rows


def read_bands_with_alpha(frame: Frame) -> Iterator[tuple[int, Rows, NDArray[np.float32] | None]]:
    """Decode a frame as :func:`read_bands` does, with alpha (rows, width) if it has one."""
    begin, after = min(frame.channels), max(frame.channels) + 1
    colour = [channel - begin for channel in frame.channels]
    transparency = colour.pop() if frame.alpha else None
    if frame.grey:
        colour *= 3
    divide = frame.multiplied and not SPACES[frame.space].linear
    bands = decoded_bands(frame.path, frame.part, as_float=True, channels=(begin, after))
    for first, rows in bands:
        straight = colour == [0, 1, 2] and rows.shape[-1] == 3
        rgb = rows if straight else rows[..., colour]
        alpha = None if transparency is None else rows[..., transparency]
        if divide and alpha is not None:
            seen = alpha > 0.0
            rgb = rgb / np.where(seen, alpha, np.float32(1.0))[..., None]
        yield first, np.ascontiguousarray(rgb, np.float32), alpha


def same_size(a: Frame, b: Frame, *, colour_only: bool = False) -> None:
    """Refuse two frames whose pixels or channels do not lie on each other.

    Parameters
    ----------
    a, b
        Frames.
    colour_only
        Let one have alpha and the other not.

    Raises
    ------
    UseError
        If size, place in the frame, or channels differ.
    """
    for what, one, other in (
        ("size", f"{a.width} x {a.height}", f"{b.width} x {b.height}"),
        ("first pixel", f"{a.origin[0]}, {a.origin[1]}", f"{b.origin[0]}, {b.origin[1]}"),
        ("number of colour channels", "1" if a.grey else "3", "1" if b.grey else "3"),
    ):
        if one != other:
            raise UseError(
                f"{a.path} and {b.path} cannot be compared: the {what} differs, {one} and {other}.",
                "Render or crop both alike; nothing is scaled here.",
            )
    if a.alpha != b.alpha and not colour_only:
        having, lacking = (a, b) if a.alpha else (b, a)
        raise UseError(
            f"{a.path} and {b.path} cannot be compared: {having.path} has alpha, "
            f"{lacking.path} has none.",
            "Compare colour alone with --colour-only.",
        )


def seen_rows(rows: Rows, space: str, seen: Seen) -> Rows:
    """Return rows as display codes, 0 to 1, beyond where the view goes beyond.

    They are those of OpenColorIO's own processor without optimisation, bit for bit.
    """
    if seen.view is None:
        return rows
    return through_view(rows, space, seen.display, seen.view, seen.config)
