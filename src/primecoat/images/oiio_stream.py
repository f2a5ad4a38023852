"""The second door to OpenImageIO: pictures part by part and row by row, types and headers kept.

A picture is read in bands of rows and written in bands of rows, so that memory is bounded by the
band. What a reader is told of a part is a :class:`Part`; the same goes to the writer, changed.

Traps (each with a test): colour is not multiplied by alpha on reading; a format's default colour
space is neither passed on nor written; whole numbers of 32 bits beside other types are written as
float32 of the same bits, because the library would round them (``exr_whole_numbers``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import OpenImageIO as oiio
from numpy.typing import NDArray

from primecoat.errors import ImageError
from primecoat.images.exr_whole_numbers import mark_whole_numbers
from primecoat.images.head import Head
from primecoat.images.oiio import (
    attributes,
    channel_names,
    decode_rows,
    first_line,
    open_input,
    opened_for_pixels,
    problem_of,
    rows_of_a_band,
)
from primecoat.images.part import NUMPY_TYPES, Attribute, Part
from primecoat.images.silence import silenced
from primecoat.images.tiff_pages import read_pages

Rows = NDArray[Any]
"""Shape (rows, width, channels)."""

_LIBRARY_TYPES = {name: kind for kind, name in NUMPY_TYPES.items()}

Level = Callable[[], Iterator[Rows]]
"""Gives the rows of one level from top to bottom, in bands; asked once, when its turn comes."""


def read_parts(path: Path) -> tuple[Part, ...]:
    """Return every part of a picture.

    Raises
    ------
    ImageError
        If it cannot be read, or holds a list of samples a pixel instead of one.
    """
    source = open_input(path)
    try:
        found: list[Part] = []
        while source.seek_subimage(len(found), 0):
            spec = source.spec()
            if spec.deep:
                raise ImageError(
                    f"Cannot convert {path}: it holds a list of samples for each pixel.",
                    "Flatten it first, or convert it where it was rendered.",
                )
            levels = 1
            while source.seek_subimage(len(found), levels):
                levels += 1
            found.append(_part(path, spec, levels, len(found)))
        source.geterror()
        if source.format_name() == "tiff":
            return _levels_put_to_parts(path, found)
        return tuple(found)
    finally:
        source.close()


def _levels_put_to_parts(path: Path, found: list[Part]) -> tuple[Part, ...]:
    """Return the parts of a TIFF; the library takes a smaller level for a part of its own."""
    with path.open("rb") as stream:
        pages = read_pages(Head(stream))
    parts: list[Part] = []
    for at, part in enumerate(found):
        page = pages[at] if len(pages) == len(found) else None
        if page is not None and page.is_level and parts:
            parts[-1] = replace(parts[-1], levels=parts[-1].levels + 1)
        else:
            below = page.below if page is not None else 0
            parts.append(replace(part, levels=part.levels + below))
    return tuple(parts)


def read_rows(path: Path, number: int, part: Part) -> Iterator[tuple[Rows, ...]]:
    """Decode the whole-size level of one part from top to bottom.

    Yields
    ------
    tuple of numpy.ndarray
        One array for each of ``part.runs``, of its type; whole numbers are codes, not scaled.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end, or are neither RGB nor grey.
    """
    with opened_for_pixels(path, number) as (source, spec, scale):
        count = rows_of_a_band(source, spec)
        for first in range(0, spec.height, count):
            rows = spec.y + first, spec.y + min(first + count, spec.height)
            groups = []
            for begin, end, name in part.runs:
                kind = _LIBRARY_TYPES.get(name, name)  # a name it does not know is read as float
                group = decode_rows(source, path, number, spec, rows, (begin, end), kind)
                groups.append(scale.undo(np.asarray(group, name)))
            yield tuple(groups)


def write_parts(path: Path, parts: Sequence[Part], levels: Sequence[Sequence[Level]]) -> None:
    """Write a picture of one or more parts, from top to bottom.

    Parameters
    ----------
    path
        Target; its suffix chooses the format. It is replaced if it exists.
    parts
        What to write. The header is written as it is given, and no colour statement beside it.
    levels
        For each part, one source of rows a level: shape (rows, width, channels), of
        :attr:`Part.array_type`.

    Raises
    ------
    ImageError
        If the format cannot hold such a picture or the disk refuses it.
    """
    target = oiio.ImageOutput.create(str(path))
    if target is None:
        raise ImageError(
            f"Cannot write the picture {path}: {first_line(oiio.geterror())}",
            "Give it the ending of a picture format that is written, such as .exr, .png or .tif.",
        )
    specs = [_spec(path, part) for part in parts]
    try:
        for number, (part, sources) in enumerate(zip(parts, levels, strict=True)):
            for level, rows in enumerate(sources):
                spec = _level_spec(specs[number], part, level)
                if level:  # in TIFF a smaller level is a further picture
                    further = "MIPLevel" if target.supports("mipmap") else "Subimage"
                    opened = target.open(str(path), spec, f"Append{further}")
                elif number:
                    opened = target.open(str(path), spec, "AppendSubimage")
                else:
                    opened = target.open(str(path), tuple(specs) if len(specs) > 1 else spec)
                _expect(opened, target, path, "open it")
                _write_level(target, path, part, level, rows())
    finally:
        closed = target.close()
    _expect(closed, target, path, "finish it")
    del target  # an OpenEXR file with levels is written to its end when its writer is gone
    for number, part in enumerate(parts):
        if part.levels > 1:
            _expect_levels(path, number, part)
    if any(part.whole_numbers for part in parts):
        names = [[part.channels[index] for index in part.whole_numbers] for part in parts]
        mark_whole_numbers(path, names)


def _part(path: Path, spec: oiio.ImageSpec, levels: int, place: int) -> Part:
    names = channel_names(spec)
    if names is None:
        raise ImageError(
            f"Cannot convert {path}: a channel's name is not valid UTF-8.", "Rename the channel."
        )
    kinds = tuple(str(kind) for kind in spec.channelformats) or (str(spec.format),) * len(names)
    return Part(
        width=spec.width,
        height=spec.height,
        channels=names,
        types=kinds,
        origin=(spec.x, spec.y),
        window=(spec.full_x, spec.full_y, spec.full_width, spec.full_height),
        tile=(spec.tile_width, spec.tile_height) if spec.tile_width else None,
        levels=levels,
        header=_header(spec),
        place=place,
    )


def _header(spec: oiio.ImageSpec) -> tuple[Attribute, ...]:
    known = attributes(spec)
    return tuple(
        (item.name, str(item.type), known[item.name])
        for item in spec.extra_attribs
        if item.name in known
    )


def _spec(path: Path, part: Part) -> oiio.ImageSpec:
    whole = part.whole_numbers
    kinds = ["float" if index in whole else kind for index, kind in enumerate(part.types)]
    mixed = len(set(kinds)) > 1
    spec = oiio.ImageSpec(
        part.width, part.height, len(part.channels), "float" if mixed else kinds[0]
    )
    spec.channelnames = part.channels
    if mixed:
        spec.channelformats = tuple(kinds)
    for index, name in enumerate(part.channels):
        if name.lower() in ("a", "alpha"):
            spec.alpha_channel = index
    spec.x, spec.y = part.origin
    if part.window:
        spec.full_x, spec.full_y, spec.full_width, spec.full_height = part.window
    if part.tile:
        spec.tile_width, spec.tile_height = part.tile
    for name, kind, value in part.header:
        if isinstance(value, bytes):
            blob = np.frombuffer(value, dtype=np.uint8)
            spec.attribute(name, oiio.TypeDesc(f"uint8[{len(blob)}]"), blob)
        else:
            spec.attribute(name, oiio.TypeDesc(kind), value)
    if spec.getattribute("oiio:UnassociatedAlpha") is None:
        spec.attribute("oiio:UnassociatedAlpha", 1)
    if path.suffix.lower() == ".png":
        spec.attribute("oiio:ColorSpace", "data")
    if part.levels > 1:
        spec.attribute("openexr:roundingmode", 0)
        if not spec.getattribute("textureformat"):  # without it the writer takes no levels
            spec.attribute("textureformat", "Plain Texture")
    return spec


def _level_spec(spec: oiio.ImageSpec, part: Part, level: int) -> oiio.ImageSpec:
    if not level:
        return spec
    smaller = spec.copy()
    smaller.width, smaller.height = part.level_sizes[level]
    smaller.full_width, smaller.full_height = smaller.width, smaller.height
    return smaller


def _write_level(
    target: oiio.ImageOutput, path: Path, part: Part, level: int, bands: Iterator[Rows]
) -> None:
    width, height = part.level_sizes[level]
    left, top = part.origin
    y = 0
    for rows in _regrouped(bands, part.tile[1]) if part.tile else bands:
        count = rows.shape[0]
        block = np.ascontiguousarray(rows)
        if part.tile:
            box = (left, left + width, top + y, top + y + count, 0, 1)
            written = target.write_tiles(*box, block)
        else:
            written = target.write_scanlines(top + y, top + y + count, 0, block)
        _expect(written, target, path, "write it to its end")
        y += count
    if y != height:
        raise ImageError(
            f"Cannot write the picture {path}: {y} rows of {height} were given.",
            "This is a fault of the program; please report it.",
        )


def _regrouped(bands: Iterator[Rows], step: int) -> Iterator[Rows]:
    """Yield the same rows in bands whose heights are multiples of a step, but for the last."""
    held: list[Rows] = []
    count = 0
    for band in bands:
        held.append(band)
        count += band.shape[0]
        if count >= step:
            whole = held[0] if len(held) == 1 else np.concatenate(held)
            ready = count - count % step
            yield whole[:ready]
            held = [whole[ready:]] if ready < count else []
            count -= ready
    if count:
        yield held[0] if len(held) == 1 else np.concatenate(held)


def _expect_levels(path: Path, number: int, part: Part) -> None:
    """Refuse a file whose last level cannot be read: its writer does not tell of a full disk."""
    source = open_input(path)
    try:
        last = part.levels - 1
        with silenced():
            if source.seek_subimage(number, last) and (
                source.read_image(number, last, 0, 1, "float") is not None
            ):
                return
        problem = problem_of(source)
    finally:
        source.close()
    raise ImageError(
        f"Cannot write the picture {path} to its end: {first_line(problem)}",
        "Make room on the disk, then write it again.",
    )


def _expect(done: bool, target: oiio.ImageOutput, path: Path, what: str) -> None:
    if not done:
        raise ImageError(
            f"Cannot write the picture {path}: the library could not {what}: "
            f"{first_line(problem_of(target))}",
            "Check that there is room on the disk, and that its format holds such a picture; "
            "OpenEXR holds most.",
        )
