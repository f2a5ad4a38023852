"""Read a picture's header: geometry through OpenImageIO, colour statements from the bytes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from primecoat.errors import ImageError
from primecoat.images import oiio
from primecoat.images.header import Alpha, ColourStatement, ImageHeader
from primecoat.images.icc_statement import profile_statement
from primecoat.images.stated import Stated, read_stated

_REMEDY = "Export it again, or restore it from a copy."

_NEVER_MULTIPLIED = ("png", "webp", "gif", "bmp", "ico", "targa", "heif", "jpegxl")
"""Formats whose colour is stored not multiplied by alpha, whether the reader says so or not."""

_PARTS_ARE_STATED = ("openexr", "tiff")
"""Formats whose parts are counted from the bytes; the library counts levels of a TIFF as parts."""


def read_header(path: Path) -> ImageHeader:
    """Read what a picture's header tells; no pixel is decoded.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    ImageHeader
        Facts of the first part, and what the file itself states about its colour.

    Raises
    ------
    ImageError
        If the file is missing, empty, cut off within its header, or no picture.
    """
    stated = read_stated(path)
    source = oiio.open_input(path)
    try:
        spec = source.spec(0)
        found = oiio.attributes(spec)
        name = str(source.format_name())
        told = name in _PARTS_ARE_STATED or found.get("oiio:subimages") is None
        parts = stated.parts if told else int(found["oiio:subimages"])
    finally:
        source.close()
    if name == "null":
        raise ImageError(f"Cannot read the picture {path}: it is not a picture.", _REMEDY)
    channels = oiio.channel_names(spec)
    if channels is None:
        raise ImageError(
            f"Cannot read the picture {path}: the names of its channels are damaged.", _REMEDY
        )
    if len(stated.channels) == len(channels):
        channels = stated.channels
    statements = stated.statements
    if statements is None:
        statements = _profile_from(found, grey=len(channels) < 3)
    return ImageHeader(
        format=name,
        width=int(spec.width),
        height=int(spec.height),
        channels=channels,
        pixel_type=str(spec.format),
        parts=max(1, parts),
        levels=stated.levels,
        alpha=_alpha(spec.alpha_channel >= 0 or "A" in stated.channels, name, found, stated),
        statements=statements,
        storage=stated.storage,
        part_headers=stated.part_headers,
        texture=stated.texture,
    )


def _alpha(there: bool, name: str, found: dict[str, Any], stated: Stated) -> Alpha:
    if not there:
        return "none"
    if stated.alpha is not None:
        return stated.alpha
    apart = found.get("oiio:UnassociatedAlpha") == 1 or name in _NEVER_MULTIPLIED
    return "unassociated" if apart else "associated"


def _profile_from(found: dict[str, Any], *, grey: bool) -> tuple[ColourStatement, ...]:
    """Return the statement of a profile that the library found in another format."""
    profile = found.get("ICCProfile")
    if profile is None:
        return ()
    return (profile_statement(bytes(bytearray(profile)), grey=grey),)
