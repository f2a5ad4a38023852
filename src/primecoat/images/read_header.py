"""Read a picture's header: geometry through OpenImageIO, colour statements from the bytes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from primecoat.errors import ImageError
from primecoat.images import exr, jpeg, oiio, png, radiance, tiff, webp
from primecoat.images.head import Head
from primecoat.images.header import Alpha, ColourStatement, ImageHeader
from primecoat.images.icc_statement import profile_statement

_REMEDY = "Export it again, or restore it from a copy."
_MOST_PARTS = 1024

_NEVER_MULTIPLIED = ("png", "webp", "gif", "bmp", "ico", "targa", "heif", "jpegxl")
"""Formats whose colour is stored not multiplied by alpha, whether the reader says so or not."""


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
    stated = _read_statements(path)
    source = oiio.open_input(path)
    try:
        spec = source.spec(0)
        found = oiio.attributes(spec)
        name = str(source.format_name())
        parts = _count_parts(source, found, name)
    finally:
        source.close()
    if name == "null":
        raise ImageError(f"Cannot read the picture {path}: it is not a picture.", _REMEDY)
    channels = tuple(str(channel) for channel in spec.channelnames)
    if stated is None:
        stated = _profile_from(found, grey=len(channels) < 3)
    return ImageHeader(
        format=name,
        width=int(spec.width),
        height=int(spec.height),
        channels=channels,
        pixel_type=str(spec.format),
        parts=parts,
        alpha=_alpha(spec.alpha_channel >= 0, name, found),
        statements=stated,
    )


def _read_statements(path: Path) -> tuple[ColourStatement, ...] | None:
    """Return the statements in a file's bytes; None for formats not read here."""
    try:
        with path.open("rb") as stream:
            head = Head(stream)
            if not head.size:
                raise ImageError(f"Cannot read the picture {path}: the file is empty.", _REMEDY)
            return _statements(path, head)
    except FileNotFoundError as error:
        raise ImageError(
            f"Cannot read the picture {path}: there is no such file.",
            "Restore it, or correct the reference.",
        ) from error
    except OSError as error:
        raise ImageError(
            f"Cannot read the picture {path}: {error.strerror or error}.",
            "Check that it is a file and that you may read it.",
        ) from error


def _statements(path: Path, head: Head) -> tuple[ColourStatement, ...] | None:
    start = head.start
    if start.startswith(png.SIGNATURE):
        chunks = png.read_chunks(head)
        if chunks is None or len(chunks.get(b"IHDR", b"")) != 13:
            raise ImageError(f"Cannot read the picture {path}: its PNG header is cut off.", _REMEDY)
        return png.png_statements(chunks)
    if start.startswith(jpeg.SIGNATURE):
        return jpeg.jpeg_statements(head)
    if start.startswith(exr.SIGNATURE):
        return exr.exr_statements(head)
    if start.startswith(tiff.SIGNATURES):
        return tiff.tiff_statements(head)
    if start.startswith(radiance.SIGNATURE):
        return radiance.radiance_statements(head)
    return webp.webp_statements(head) if webp.is_webp(head) else None


def _count_parts(source: Any, found: dict[str, Any], name: str) -> int:
    stated = found.get("oiio:subimages")
    if stated is not None:
        return max(1, int(stated))
    count = 1
    while name == "tiff" and count < _MOST_PARTS and source.seek_subimage(count, 0):
        count += 1
    source.geterror()
    return count


def _alpha(there: bool, name: str, found: dict[str, Any]) -> Alpha:
    if not there:
        return "none"
    apart = found.get("oiio:UnassociatedAlpha") == 1 or name in _NEVER_MULTIPLIED
    return "unassociated" if apart else "associated"


def _profile_from(found: dict[str, Any], *, grey: bool) -> tuple[ColourStatement, ...]:
    """Return the statement of a profile that the library found in another format."""
    profile = found.get("ICCProfile")
    if profile is None:
        return ()
    return (profile_statement(bytes(bytearray(profile)), grey=grey),)
