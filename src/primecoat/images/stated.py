"""What a file's own bytes say, whatever its format: colour, storage, alpha, parts, texture."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from primecoat.errors import ImageError
from primecoat.images import exr, jpeg, png, radiance, tga, tiff, tiff_pages, webp
from primecoat.images.exr_parts import read_exr_headers
from primecoat.images.head import Head
from primecoat.images.header import Alpha, ColourStatement, PartHeader, TextureRecord

_REMEDY = "Export it again, or restore it from a copy."


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What the bytes of a file say; the fields are those of an image header.

    ``parts`` and ``levels`` are told of OpenEXR and TIFF only. ``statements`` is None for formats
    whose bytes are not read here; ``channels`` is empty where
    the image library names them right.
    """

    statements: tuple[ColourStatement, ...] | None = None
    parts: int = 1
    levels: int = 1
    storage: tuple[str, ...] = ()
    alpha: Alpha | None = None
    channels: tuple[str, ...] = ()
    part_headers: tuple[PartHeader, ...] = ()
    texture: TextureRecord | None = None


def read_stated(path: Path) -> Stated:
    """Read what a file's own bytes say.

    Raises
    ------
    ImageError
        If the file is missing, empty, cut off within its header, or of a kind that is refused.
    """
    try:
        with path.open("rb") as stream:
            head = Head(stream)
            if not head.size:
                raise ImageError(f"Cannot read the picture {path}: the file is empty.", _REMEDY)
            return _of_head(path, head)
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


def _of_head(path: Path, head: Head) -> Stated:
    for signatures, read in _READERS:
        if head.start.startswith(signatures):
            return read(path, head)
    if webp.is_webp(head):
        return Stated(statements=webp.webp_statements(head), storage=webp.webp_storage(head))
    if path.suffix.lower() in (".tga", ".tpic"):  # has no signature
        facts = tga.tga_facts(head)
        return Stated(
            statements=facts.statements,
            storage=facts.storage,
            alpha=facts.alpha,
            channels=facts.channels,
        )
    return Stated()


def _png(path: Path, head: Head) -> Stated:
    chunks = png.read_chunks(head)
    if chunks is None or len(chunks.get(b"IHDR", b"")) != 13:
        raise ImageError(f"Cannot read the picture {path}: its PNG header is cut off.", _REMEDY)
    return Stated(statements=png.png_statements(chunks), storage=png.png_storage(chunks))


def _jpeg(_: Path, head: Head) -> Stated:
    met = jpeg.read_segments(head)
    return Stated(statements=jpeg.statements_of(met), storage=jpeg.jpeg_storage(met))


def _exr(_: Path, head: Head) -> Stated:
    headers = read_exr_headers(head)
    return Stated(
        statements=exr.statements_of(headers),
        parts=len(headers.parts),
        levels=exr.exr_levels(headers),
        storage=exr.exr_storage(headers),
        part_headers=exr.part_headers(headers),
        texture=exr.exr_texture(headers),
    )


def _tiff(_: Path, head: Head) -> Stated:
    pages = tiff_pages.read_pages(head)
    return Stated(
        statements=tiff.tiff_statements(head),
        parts=tiff_pages.count_parts(pages),
        levels=tiff_pages.count_levels(pages),
        part_headers=tiff_pages.part_headers(head, pages),
        storage=tiff.tiff_storage(head),
        texture=tiff.tiff_texture(head),
    )


def _radiance(path: Path, head: Head) -> Stated:
    if radiance.radiance_layout(head) == radiance.XYZE:
        raise ImageError(
            f"Cannot read the picture {path}: its numbers are CIE XYZ (FORMAT {radiance.XYZE}).",
            "Convert it to RGB, with its primaries written into it, and try again.",
        )
    return Stated(statements=radiance.radiance_statements(head))


_READERS: tuple[tuple[bytes | tuple[bytes, ...], Callable[[Path, Head], Stated]], ...] = (
    (png.SIGNATURE, _png),
    (jpeg.SIGNATURE, _jpeg),
    (exr.SIGNATURE, _exr),
    (tiff.SIGNATURES, _tiff),
    (radiance.SIGNATURE, _radiance),
)
