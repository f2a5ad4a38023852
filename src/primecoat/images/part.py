"""One part of a picture: its layout and its header, as it is read or is to be written."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

NUMPY_TYPES = {
    "half": "float16",
    "float": "float32",
    "double": "float64",
    "uint": "uint32",
    "int": "int32",
}
"""The library's names of pixel types, where NumPy has others."""


Attribute = tuple[str, str, Any]
"""Of a header: name, type as OpenImageIO writes it (``float[8]``), value."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One part of a picture: its layout and its header.

    Parameters
    ----------
    width, height
        Size in pixels.
    channels
        Names in file order.
    types
        Stored type of each channel: ``uint8``, ``uint16``, ``half``, ``float``, ``uint``, ...
    origin
        Column and row of the first pixel.
    window
        Column, row, width and height of the whole frame that the part is seen in.
    tile
        Width and height of a tile, or None for rows.
    levels
        Number of mip levels, the whole picture counted.
    header
        Everything else that stands in its header, as (name, type, value).
    place
        By what number the library reads it: in TIFF, levels of the part before count too.
    """

    width: int
    height: int
    channels: tuple[str, ...]
    types: tuple[str, ...]
    origin: tuple[int, int] = (0, 0)
    window: tuple[int, int, int, int] | None = None
    tile: tuple[int, int] | None = None
    levels: int = 1
    header: tuple[Attribute, ...] = ()
    place: int = 0

    @property
    def level_sizes(self) -> tuple[tuple[int, int], ...]:
        """Width and height of each level: halved and rounded down, never below 1.

        Examples
        --------
        >>> Part(width=5, height=2, channels=("Y",), types=("half",), levels=3).level_sizes
        ((5, 2), (2, 1), (1, 1))
        """
        return tuple(
            (max(1, self.width >> level), max(1, self.height >> level))
            for level in range(self.levels)
        )

    @property
    def array_type(self) -> str:
        """NumPy type of the rows that a writer takes: that of all channels, else float32.

        In rows of float32, 32-bit whole numbers stand as float32 of the same bits.

        Examples
        --------
        >>> Part(width=1, height=1, channels=("R", "ID"), types=("half", "uint")).array_type
        'float32'
        """
        kinds = {NUMPY_TYPES.get(kind, kind) for kind in self.types}
        return kinds.pop() if len(kinds) == 1 else "float32"

    @property
    def whole_numbers(self) -> tuple[int, ...]:
        """Channels of 32-bit whole numbers that stand beside channels of other types."""
        if len(set(self.types)) == 1:
            return ()
        return tuple(index for index, kind in enumerate(self.types) if kind == "uint")

    @property
    def runs(self) -> tuple[tuple[int, int, str], ...]:
        """Groups of neighbouring channels that are read together: first, end, NumPy type.

        Channels of one type are one group; half beside float are one group of float32, which
        holds both; 32-bit whole numbers stand alone.

        Examples
        --------
        >>> mixed = ("half", "half", "half", "float", "uint")
        >>> Part(width=1, height=1, channels=tuple("RGBZI"), types=mixed).runs
        ((0, 4, 'float32'), (4, 5, 'uint32'))
        """
        groups: list[tuple[int, int, str]] = []
        for index, kind in enumerate(self.types):
            name = NUMPY_TYPES.get(kind, kind)
            if groups:
                first, _, last = groups[-1]
                both = {name, last}
                if len(both) == 1 or both == {"float16", "float32"}:
                    groups[-1] = first, index + 1, name if len(both) == 1 else "float32"
                    continue
            groups.append((index, index + 1, name))
        return tuple(groups)
