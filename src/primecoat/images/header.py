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
        ``ACES container flag``, ``chromaticities``, ``EXIF ColorSpace``, ``Radiance PRIMARIES``,
        ``TGA gamma``, or what kind of numbers it holds instead of RGB, such as ``CMYK``.
    reading
        The reading it states, or None where it names no reading of the vocabulary.
    firm
        True if it is meant as a statement; False if it is only a hint (a chromaticities
        attribute, a gamma that fits two spaces). Firm without a reading: the numbers are of a
        kind that the vocabulary has no name for (another curve or gamut, ink, CIELAB).
    words
        What was found, in words.
    among
        Readings that it leaves open, where it names more than one: gAMA 45455 is written for
        gamma 2.2 and for the sRGB curve.
    """

    kind: str
    reading: str | None
    firm: bool
    words: str
    among: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartHeader:
    """One part (sub-image, TIFF page) of a file, or the only one where it holds several layers.

    Parameters
    ----------
    name
        The part's name; empty if it has none.
    channels, pixel_types
        Channel names as the file orders them, and the type of each.
    statements
        What the part itself says about its colour, the one that rules first.
    views
        Views of a stereo picture that the part holds, the default one first; else none.
    """

    name: str
    channels: tuple[str, ...]
    pixel_types: tuple[str, ...]
    statements: tuple[ColourStatement, ...] = ()
    views: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TextureRecord:
    """What a texture (tiled, with smaller levels) keeps of how it was made.

    Parameters
    ----------
    kind
        ``Plain Texture``, ``LatLong Environment`` and so on.
    source
        Name of the picture it was made from, if a record names one.
    date
        ``YYYY:MM:DD HH:MM:SS``, the source's own or that of the making, or empty.
    pixel_hash
        SHA-1 that the maker kept of the pixels, in hexadecimal, or empty.
    """

    kind: str
    source: str = ""
    date: str = ""
    pixel_hash: str = ""


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
        Number of parts (sub-images); smaller levels of one picture are no parts.
    levels
        Number of levels of the first part, the full size included: more than one in a mip pyramid.
    alpha
        Whether there is an alpha channel and if colour is multiplied by it.
    statements
        What the file says about its colour, the one that rules first.
    storage
        How the numbers are stored, in words, where it is out of the ordinary: ``palette``,
        ``planar``, ``CMYK``.
    part_headers
        Each part, the first included, of an OpenEXR or TIFF file with more than one part, or with
        one part of several layers.
    texture
        The record of a texture, if it is one.
    """

    format: str
    width: int
    height: int
    channels: tuple[str, ...]
    pixel_type: str
    parts: int = 1
    levels: int = 1
    alpha: Alpha = "none"
    statements: tuple[ColourStatement, ...] = ()
    storage: tuple[str, ...] = ()
    part_headers: tuple[PartHeader, ...] = ()
    texture: TextureRecord | None = None

    @property
    def integer(self) -> bool:
        """Whether pixels are stored as whole numbers."""
        return self.pixel_type.startswith(("uint", "int"))
