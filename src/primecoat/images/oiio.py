"""The door to OpenImageIO: headers, pixels in, pixels out; its traps are closed here.

Traps (each with a test): pixels are read without multiplying colour by alpha; a format's default
colour space is not passed on as a statement; dates are not written; what EXPOSURE and COLORCORR
multiplied into a Radiance picture is divided out; ink, CIELab and bombs are refused.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import OpenImageIO as oiio
from numpy.typing import NDArray

from primecoat.errors import ImageError
from primecoat.images.decoded import StoredScale, refuse_other_numbers
from primecoat.images.rgbe_values import refuse_unheld
from primecoat.images.silence import silenced
from primecoat.images.size_limits import refuse_bomb

_PINNED_DATE = "1970:01:01 00:00:00"
"""Written instead of now, so that the same picture gives the same bytes."""

_BAND_BYTES = 16 * 1024 * 1024
"""Size of a band of rows, counted as float32, where the file does not ask for more."""

_THREADS = ("threads", "exr_threads")
"""Attributes of the library: threads for its own work, and for that of OpenEXR."""


def library_version() -> str:
    """Return the version of OpenImageIO."""
    return str(oiio.VERSION_STRING)


@contextlib.contextmanager
def codec_threads(count: int) -> Iterator[None]:
    """Decode and encode with so many threads while the block runs."""
    before = {name: oiio.get_int_attribute(name) for name in _THREADS}
    try:
        for name in _THREADS:
            oiio.attribute(name, count)
        yield
    finally:
        for name, value in before.items():
            oiio.attribute(name, value)


def open_input(path: Path) -> oiio.ImageInput:
    """Open a picture for reading, colour not multiplied by alpha.

    Raises
    ------
    ImageError
        If the file is missing or no reader takes it, or its name is no UTF-8.
    """
    try:
        name = str(path).encode("utf-8").decode("utf-8")
    except UnicodeEncodeError as error:
        raise ImageError(
            f"Cannot read the picture {str(path)!a}: its name is not valid UTF-8.",
            "Rename it, and correct the reference.",
        ) from error
    hints = oiio.ImageSpec()
    hints["oiio:UnassociatedAlpha"] = 1
    with silenced():
        source = oiio.ImageInput.open(name, hints)
    if source is None:
        raise ImageError(
            f"Cannot read the picture {path}: {first_line(problem_of())}",
            "Export it again, or restore it from a copy.",
        )
    return source


def attributes(spec: oiio.ImageSpec) -> dict[str, Any]:
    """Return the attributes of a spec by name; damaged ones that are no UTF-8 are left out."""
    found: dict[str, Any] = {}
    for item in spec.extra_attribs:
        with contextlib.suppress(UnicodeDecodeError):
            found[item.name] = item.value
    return found


def channel_names(spec: oiio.ImageSpec) -> tuple[str, ...] | None:
    """Return the channel names of a spec; None if they are no UTF-8."""
    try:
        return tuple(str(name) for name in spec.channelnames)
    except UnicodeDecodeError:
        return None


def read_pixels(path: Path, part: int = 0) -> NDArray[Any]:
    """Decode one part of a picture in its stored type.

    Returns
    -------
    numpy.ndarray
        Shape (height, width, channels), dtype as stored (uint8, uint16, float16, float32, ...).
        Integer codes are not scaled; colour is not multiplied by alpha. Radiance pictures give
        the original radiance, whatever EXPOSURE they were stored with.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end, or are neither RGB nor grey.
    """
    with opened_for_pixels(path, part) as (source, spec, scale):
        with silenced():
            pixels = source.read_image(part, 0, 0, spec.nchannels, str(spec.format))
        refuse_undecoded(path, pixels, problem_of(source))
    return scale.undo(np.asarray(pixels))


@contextlib.contextmanager
def opened_for_pixels(
    path: Path, part: int
) -> Iterator[tuple[oiio.ImageInput, oiio.ImageSpec, StoredScale]]:
    """Open a picture whose pixels are RGB or grey; it is closed with the block.

    Yields
    ------
    tuple
        The reader, the spec of the part, and what its numbers were multiplied by when stored.

    Raises
    ------
    ImageError
        If the file cannot be read, or its pixels are neither RGB nor grey.
    """
    source = open_input(path)
    try:
        spec = source.spec(part)
        found = attributes(spec)
        _refuse_bomb(path, source, spec)
        refuse_other_numbers(path, found)
        form = str(source.format_name())
        yield source, spec, StoredScale(path, form, found, str(spec.format), spec.nchannels)
    finally:
        source.close()


def decode_rows(
    source: oiio.ImageInput,
    path: Path,
    part: int,
    spec: oiio.ImageSpec,
    rows: tuple[int, int],
    channels: tuple[int, int],
    kind: str,
) -> NDArray[Any]:
    """Decode some rows and channels of an opened part; whole tiles, where it has tiles.

    Parameters
    ----------
    rows, channels
        The first and the end; the spec's own first row is ``spec.y``.
    kind
        The library's name of the type to give.

    Returns
    -------
    numpy.ndarray
        Shape (rows, width, channels).

    Raises
    ------
    ImageError
        If they cannot be decoded.
    """
    with silenced():
        if spec.tile_width:
            box = (spec.x, spec.x + spec.width, *rows, spec.z, spec.z + 1)
            pixels = source.read_tiles(part, 0, *box, *channels, kind)
        else:
            pixels = source.read_scanlines(part, 0, *rows, spec.z, *channels, kind)
    refuse_undecoded(path, pixels, problem_of(source))
    return np.asarray(pixels).reshape(rows[1] - rows[0], spec.width, channels[1] - channels[0])


def rows_of_a_band(source: oiio.ImageInput, spec: oiio.ImageSpec) -> int:
    """Return how many rows are best decoded together: whole tiles or chunks, about 16 MiB.

    A TIFF may be one strip from top to bottom; its reader goes on in the midst of a strip, so
    that a band need not hold it whole.
    """
    chunk = spec.tile_height or int(attributes(spec).get("oiio:RowsPerChunk", 1))
    wanted = max(1, _BAND_BYTES // max(1, spec.width * spec.nchannels * 4))
    if chunk > wanted and not spec.tile_width and source.format_name() == "tiff":
        return wanted
    return -(-wanted // chunk) * chunk


def read_bands(
    path: Path,
    part: int = 0,
    *,
    as_float: bool = False,
    channels: tuple[int, int] | None = None,
) -> Iterator[tuple[int, NDArray[Any]]]:
    """Decode one part of a picture from top to bottom, a band of rows at a time.

    Memory stays near 16 MiB a band, however large the picture is.

    Parameters
    ----------
    path
        The file.
    part
        Number of the part.
    as_float
        Give float32 instead of the stored type (integers scaled to 0 to 1).
    channels
        First channel and the one after the last to decode; None for all.

    Yields
    ------
    tuple
        First row of the band, and its pixels: shape (rows, width, channels), as in
        :func:`read_pixels`.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end, or are neither RGB nor grey.
    """
    with opened_for_pixels(path, part) as (source, spec, scale):
        stored = "float" if as_float else str(spec.format)
        begin, after = channels or (0, spec.nchannels)
        count = rows_of_a_band(source, spec)
        for first in range(0, spec.height, count):
            rows = spec.y + first, spec.y + min(first + count, spec.height)
            band = decode_rows(source, path, part, spec, rows, (begin, after), stored)
            yield first, scale.undo(band)


def pixel_hashes(path: Path, endings: Sequence[str]) -> tuple[str, ...]:
    """Return the SHA-1 of a picture's pixels as the texture maker takes it, once for each ending.

    It is taken of the first part as float32, colour multiplied by alpha, and of a text behind it,
    which holds how the texture was made.

    Parameters
    ----------
    path
        The file.
    endings
        The texts.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    with silenced():
        source = oiio.ImageInput.open(str(path))
        if source is not None:
            _refuse_bomb(path, source, source.spec())
        pixels = None if source is None else source.read_image(0, 0, 0, 10_000, "float")
    problem = problem_of() if source is None else problem_of(source)
    refuse_undecoded(path, pixels, problem)
    whole = hashlib.sha1(np.ascontiguousarray(pixels, np.float32).tobytes(), usedforsecurity=False)
    found = []
    for ending in endings:
        one = whole.copy()
        one.update(ending.encode())
        found.append(one.hexdigest().upper())
    return tuple(found)


def write_pixels(
    path: Path,
    pixels: NDArray[Any],
    *,
    pixel_type: str | None = None,
    statement: str | None = None,
    attributes: Mapping[str, Any] | None = None,
) -> None:
    """Write a picture with no colour statement but those asked for.

    Parameters
    ----------
    path
        Target; its suffix chooses the format. It is replaced if it exists.
    pixels
        Shape (height, width, channels); integers are codes, floats are values.
    pixel_type
        Stored type, such as ``half``; by default that of the array.
    statement
        Reading the file shall state, in the way its format has for that; None for no statement
        (left alone, the PNG writer would state sRGB for every picture).
    attributes
        More attributes, such as ``colorInteropID`` for OpenEXR, ``ICCProfile`` (uint8 array),
        ``compression``.

    Raises
    ------
    ImageError
        If the format cannot hold such a picture or the disk refuses it.
    """
    array = np.ascontiguousarray(pixels)
    refuse_unheld(path, array)
    stored = pixel_type or {"float16": "half", "float32": "float"}.get(
        array.dtype.name, array.dtype.name
    )
    height, width, channels = array.shape
    spec = oiio.ImageSpec(width, height, channels, stored)
    spec.attribute("oiio:UnassociatedAlpha", 1)
    spec.attribute("DateTime", _PINNED_DATE)
    if statement:
        spec.attribute("oiio:ColorSpace", statement)
    elif path.suffix.lower() == ".png":
        spec.attribute("oiio:ColorSpace", "data")
    for name, value in (attributes or {}).items():
        if isinstance(value, bytes):
            blob = np.frombuffer(value, dtype=np.uint8)
            spec.attribute(name, oiio.TypeDesc(f"uint8[{len(blob)}]"), blob)
        elif isinstance(value, tuple) and value and isinstance(value[0], float):
            spec.attribute(name, oiio.TypeDesc(f"float[{len(value)}]"), value)
        else:
            spec.attribute(name, value)
    target = oiio.ImageOutput.create(str(path))
    if target is None:
        raise ImageError(
            f"Cannot write the picture {path}: {first_line(problem_of())}",
            "Give it the ending of a picture format that is written, such as .exr, .png or .tif.",
        )
    if not target.open(str(path), spec):
        raise ImageError(
            f"Cannot write the picture {path} ({width} x {height}, {channels} channels, {stored}): "
            f"{first_line(problem_of(target))}",
            "Check that its folder exists and can be written in, and that its format holds such "
            "a picture; OpenEXR holds most.",
        )
    written = target.write_image(array)
    closed = target.close()
    if not (written and closed):
        raise ImageError(
            f"Cannot write the picture {path} to its end: {first_line(problem_of(target))}",
            "Make room on the disk, then write it again; what stands there is not whole.",
        )


def _refuse_bomb(path: Path, source: oiio.ImageInput, spec: oiio.ImageSpec) -> None:
    size = spec.width, spec.height, spec.depth
    piece = max(spec.width, spec.tile_width), rows_of_a_band(source, spec)
    refuse_bomb(path, size, spec.nchannels, piece)


def refuse_undecoded(path: Path, pixels: object, problem: str) -> None:
    """Refuse pixels that a reader could not decode to their end.

    Raises
    ------
    ImageError
        If there are none, or the reader told of a problem.
    """
    if pixels is None or problem:
        raise ImageError(
            f"Cannot decode the picture {path}: {first_line(problem)}",
            "Export it again, or restore it from a copy.",
        )


def problem_of(owner: Any = oiio) -> str:
    """Return the pending error text, which may quote bytes of a damaged file."""
    try:
        return str(owner.geterror())
    except UnicodeDecodeError:
        return "the file is damaged"


def first_line(text: str) -> str:
    """Return the first line of a library's error text, or words for none."""
    return (text.strip().splitlines() or ["no reason was given"])[0]
