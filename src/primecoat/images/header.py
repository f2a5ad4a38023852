"""What a picture's header tells, without decoding a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Alpha = Literal["none", "unassociated", "associated"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourStatement:
    """One thing a file says of itself about colour.

    A library's default is no statement: only what stands in the file counts.

    Parameters
    ----------
    kind
        ``cICP``, ``ICC profile``, ``sRGB chunk``, ``gAMA and cHRM``, ``colorInteropID``,
        ``ACES container flag``, ``chromaticities``, ``EXIF ColorSpace``, ``Radiance PRIMARIES``.
    reading
        The reading it states, or None where it names no reading of the vocabulary.
    firm
        True if it is meant as a statement; False if it is only a hint (a chromaticities
        attribute, a gamma that fits two spaces).
    words
        What was found, in words.
    """

    kind: str
    reading: str | None
    firm: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageHeader:
    """Header facts of one picture (its first part).

    Parameters
    ----------
    format
        Name of the file format as OpenImageIO calls it: ``png``, ``jpeg``, ``openexr``, ``hdr``.
    width, height
        Size in pixels.
    channels
        Channel names in file order.
    pixel_type
        ``uint8``, ``uint16``, ``half``, ``float`` and so on.
    parts
        Number of parts (sub-images).
    alpha
        Whether there is an alpha channel and if colour is multiplied by it.
    statements
        What the file says about its colour, the one that rules first.
    """

    format: str
    width: int
    height: int
    channels: tuple[str, ...]
    pixel_type: str
    parts: int = 1
    alpha: Alpha = "none"
    statements: tuple[ColourStatement, ...] = ()

    @property
    def integer(self) -> bool:
        """Whether pixels are stored as whole numbers."""
        return self.pixel_type.startswith(("uint", "int"))
