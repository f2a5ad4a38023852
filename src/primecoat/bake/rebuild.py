"""Smaller levels of a data picture, made anew from its whole size; no number of that is changed."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from primecoat.bake.labels import PINNED_DATE, kept_header
from primecoat.bake.mips import Pyramid
from primecoat.bake.picture import Baked
from primecoat.bake.stored_numbers import Rows, Tally, as_values, stored
from primecoat.errors import ImageError, RefusedError
from primecoat.files import ASIDE_PREFIX, ASIDE_SUFFIX
from primecoat.images.colour_layers import colour_layers
from primecoat.images.oiio_stream import Level, read_parts, read_rows, write_parts
from primecoat.images.part import Attribute, Part
from primecoat.images.read_header import read_header
from primecoat.plan.operations import LevelsOf

_TILE = 64
_WRITTEN = (".exr", ".tif")


def rebuild_levels(
    source: Path, target: Path, kind: LevelsOf, record: tuple[Attribute, ...] = ()
) -> Baked:
    """Write a data picture with smaller levels that are means of its numbers.

    Nothing is decoded or encoded, whatever the picture states of colour. Means of normals are
    shorter than 1; each level's are made 1 long again, and the next level is still made from the
    means. A hash of the pixels and whatever else told of the old levels is dropped; all else
    stays, statements of colour too.

    Parameters
    ----------
    source, target
        Pictures; the target is OpenEXR or TIFF by its suffix. It is replaced if it exists.
    kind
        For normals, those in the channels R, G and B are made 1 long.
    record
        What the new file tells of how it was made.

    Raises
    ------
    ImageError
        If the picture cannot be read or written, or holds no R, G and B for normals.
    RefusedError
        If it has several parts, channels of several types, or the target holds no levels.
    """
    part = _only_part(source, target)
    levels = max(part.width, part.height).bit_length()
    new = replace(
        part,
        tile=part.tile or (_TILE, _TILE),
        levels=levels,
        header=(
            *kept_header(part.header, same_format=True, same_colour=True),
            ("oiio:UnassociatedAlpha", "int", int(read_header(source).alpha != "associated")),
            ("compression", "string", "zip"),
            PINNED_DATE,
            *record,
        ),
    )
    normals = _normals(source, part) if kind != "data" else ()
    with tempfile.TemporaryDirectory(
        prefix=ASIDE_PREFIX, suffix=ASIDE_SUFFIX, dir=target.parent
    ) as scratch:
        pyramid = Pyramid(Path(scratch), new.level_sizes, len(new.channels))

        def whole() -> Iterator[Rows]:
            for (rows,) in read_rows(source, 0, part):
                pyramid.put(as_values(rows))
                yield rows

        def smaller(level: int) -> Iterator[Rows]:
            unheard = Tally()
            for rows in pyramid.level(level):
                values = rows
                if normals:
                    values = rows.copy()
                    values[..., normals] = _of_unit_length(rows[..., normals], kind)
                yield stored(values, new.array_type, unheard)

        rows_of: list[Level] = [whole, *(partial(smaller, level) for level in range(1, levels))]
        try:
            write_parts(target, [new], [rows_of])
        except BaseException:
            target.unlink(missing_ok=True)
            raise
    return Baked(number=part.types[0], tally=Tally())


def _only_part(source: Path, target: Path) -> Part:
    if target.suffix not in _WRITTEN:
        raise RefusedError(f"{target.suffix} holds no smaller levels.", "Use .exr or .tif.")
    parts = read_parts(source)
    if len(parts) > 1 or len(set(parts[0].types)) > 1 or parts[0].types[0] in ("uint", "int"):
        raise RefusedError(
            f"{source} has several parts, several types of numbers, or IDs, which have no mean.",
            "Split it first.",
        )
    if target.suffix == ".exr" and parts[0].types[0].startswith("uint"):
        raise RefusedError(
            f"{source} holds whole numbers, which OpenEXR does not hold as they are.",
            "Use .tif.",
        )
    return parts[0]


def _normals(source: Path, part: Part) -> list[int]:
    for layer in colour_layers(part.channels):
        if len(layer.channels) == 3:
            return list(layer.channels)
    raise ImageError(
        f"{source} holds no normals by its channels' names ({', '.join(part.channels)}).",
        "Name them R, G and B, or have its levels made as plain data.",
    )


def _of_unit_length(numbers: NDArray[np.float32], kind: LevelsOf) -> NDArray[np.float32]:
    """Return vectors 1 long; one without a length stays what it is. Shape (..., 3)."""
    vectors = numbers if kind == "signed normal" else numbers * 2 - 1
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    unit = vectors / np.where(length > 1e-6, length, 1)
    return np.asarray(unit if kind == "signed normal" else (unit + 1) / 2, np.float32)
