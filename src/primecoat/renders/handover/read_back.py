"""A written file read back: pixels by a second reader, labels from the bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import ImageError
from primecoat.images.header import ImageHeader
from primecoat.images.oiio_stream import read_parts, read_rows
from primecoat.images.read_header import read_header
from primecoat.images.second_reader import second_rows
from primecoat.images.second_reader.exr_header import read_exr_header
from primecoat.renders.handover.container import container_deviations
from primecoat.renders.handover.kinds import Kind
from primecoat.renders.handover.meant import Meant
from primecoat.renders.handover.write import Written
from primecoat.renders.said_space import said_space

_LOSS = 0.05
"""Mean difference, as a share of white, from which JPEG is no loss of packing but a fault."""

_SPEAKS_OF_COLOUR = ("chromaticities", "acesImageContainerFlag", "adoptedNeutral", "whiteLuminance")
"""Attributes of OpenEXR that speak of colour beside the ID."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """What reading a file back showed.

    Parameters
    ----------
    reader
        Who read the pixels: ``primecoat`` (from the bytes), or the library for what only it
        unpacks.
    pixels
        ``equal``, or of JPEG the mean and greatest difference in codes.
    labels
        What the file states, each ``kind: reading``.
    faults
        All that is not as it was meant, in words; none if all is.
    """

    reader: str
    pixels: str
    labels: tuple[str, ...]
    faults: tuple[str, ...]


def read_back(path: Path, written: Written, meant: Meant) -> ReadBack:
    """Read a file back and say what is not as it was meant.

    Raises
    ------
    ImageError
        If it cannot be read.
    """
    header = read_header(path)
    kind = meant.recipe.kind
    faults = [*_layout(header, written, kind), *_labels(path, header, meant)]
    if kind.strict:
        faults += [f"ST 2065-4: {words}" for words in container_deviations(path)]
    if kind.ending == ".jpg":
        reader, pixels, wrong = _lossy(path, written)
    else:
        reader, pixels, wrong = _exact(path, written)
    labels = tuple(f"{one.kind}: {one.reading}" for one in header.statements)
    return ReadBack(reader=reader, pixels=pixels, labels=labels, faults=(*faults, *wrong))


def _layout(header: ImageHeader, written: Written, kind: Kind) -> list[str]:
    part = written.part
    found = []
    if (header.width, header.height) != (part.width, part.height):
        found.append(f"its size is {header.width} x {header.height}")
    if len(header.channels) != len(part.channels):
        found.append(f"its channels are {', '.join(header.channels)}")
    wanted = "none"
    if len(part.channels) == 4:
        wanted = "associated" if kind.ending == ".exr" else "unassociated"
    if header.alpha != wanted:
        found.append(f"its alpha is {header.alpha}, not {wanted}")
    return found


def _labels(path: Path, header: ImageHeader, meant: Meant) -> list[str]:
    kind = meant.recipe.kind
    if kind.ending == ".exr":
        allowed = _SPEAKS_OF_COLOUR[:2] if kind.strict else ()
        there = read_exr_header(path).attributes
        found = [f"it has {n}" for n in _SPEAKS_OF_COLOUR if n in there and n not in allowed]
        count = 3 if kind.strict else 1
    else:
        found, count = [], 1
    if len(header.statements) != count:
        found.append(f"it makes {len(header.statements)} statements of colour, not {count}")
    wrong = [s.words for s in header.statements if s.reading != header.statements[0].reading]
    space, _ = said_space(path, header, 0, None, meant.recipe.config)
    if space != kind.space:
        found.append(f"it states {space}, not {kind.space}")
    return found + [f"it contradicts itself: {words}" for words in wrong]


def _exact(path: Path, written: Written) -> tuple[str, str, list[str]]:
    rows = second_rows(path)
    reader = "primecoat"
    if rows is None:
        reader = "OpenImageIO"
        part = read_parts(path)[0]
        rows = (groups[0] for groups in read_rows(path, 0, part))
    found = hashlib.sha256()
    for band in rows:
        found.update(np.ascontiguousarray(band).tobytes())
    same = found.hexdigest() == written.sha256
    return reader, "equal" if same else "not equal", [] if same else ["its pixels are others"]


def _lossy(path: Path, written: Written) -> tuple[str, str, list[str]]:
    """Compare with what was meant, made once more; the packing of JPEG changes every pixel."""
    part = read_parts(path)[0]
    total = count = most = 0
    theirs = _by_row(groups[0] for groups in read_rows(path, 0, part))
    for wanted in _by_row(written.again()):
        there = next(theirs, None)
        if there is None or there.shape != wanted.shape:
            raise ImageError(f"Cannot read {path} to its end: rows are missing.", "Write it again.")
        off = np.abs(there.astype(np.int16) - wanted)
        total, count = total + int(off.sum()), count + off.size
        most = max(most, int(off.max(initial=0)))
    mean = total / max(1, count)
    faults = ["its pixels are others"] if mean > 255 * _LOSS else []
    return "OpenImageIO", f"mean {mean:.2f}, most {most} of 255", faults


def _by_row(bands: Iterable[NDArray[Any]]) -> Iterator[NDArray[Any]]:
    for band in bands:
        yield from band
