"""What stands in a look file, read and checked by OpenColorIO: the numbers of a CDL, or a LUT."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import PyOpenColorIO as ocio

from primecoat.colour.ocio.look_guard import refuse_not_finite, refuse_not_finite_results
from primecoat.colour.primaries import Triple
from primecoat.errors import InputError, UseError


@dataclass(frozen=True, slots=True, kw_only=True)
class Cdl:
    """The numbers of one ASC CDL; no number is negative save an offset, a power is above 0."""

    slope: Triple
    offset: Triple
    power: Triple
    saturation: float


def read_correction(path: Path, data: bytes, wanted: str | None) -> tuple[str, Cdl]:
    """Return one correction of a file, and its ID if the file holds several.

    Raises
    ------
    UseError
        If the file holds no such correction, or several and none is named.
    InputError
        If the file cannot be read.
    """
    with _copy(path, data) as copy:
        try:
            group = list(ocio.CDLTransform.CreateGroupFromFile(str(copy)))
        except (ocio.Exception, UnicodeDecodeError) as error:
            raise _unreadable(path, copy, error) from error
    ids = [str(one.getID()) for one in group]
    if not ids:
        raise InputError(f"The look file {path} holds no correction.", "Give another.")
    if wanted is None and len(group) == 1:
        wanted = ids[0]
    if wanted not in ids:
        listed = ", ".join(one or "(one without ID)" for one in ids)
        raise UseError(
            f"{path} has no correction {wanted}."
            if wanted is not None
            else f"{path} holds {len(ids)} corrections, and which is meant is not said.",
            f"Name one after the file, FILE#ID. It holds: {listed}.",
        )
    one = group[ids.index(wanted)]
    refuse_not_finite(path, [one])
    return wanted if len(group) > 1 else "", Cdl(
        slope=_triple(one.getSlope()),
        offset=_triple(one.getOffset()),
        power=_triple(one.getPower()),
        saturation=float(one.getSat()),
    )


def check_lut(path: Path, data: bytes) -> None:
    """Check that a LUT can be built, is finite, and turns no 3D table round.

    Raises
    ------
    InputError
        If not.
    """
    config = ocio.Config.CreateRaw()
    with _copy(path, data) as copy:
        config.setSearchPath(str(copy.parent))
        try:
            processor = config.getProcessor(ocio.FileTransform(src=copy.name))
            steps = processor.createGroupTransform()
        except (ocio.Exception, ocio.ExceptionMissingFile, UnicodeDecodeError) as error:
            raise _unreadable(path, copy, error) from error
    refuse_not_finite(path, steps)
    for step in steps:
        if not isinstance(step, ocio.Lut3DTransform):
            continue
        turned = step.getDirection() == ocio.TRANSFORM_DIR_INVERSE
        if turned:
            raise InputError(
                f"Cannot use the look file {path}: it turns a 3D LUT round, which is slow and "
                "only near.",
                "Write the inverse out as a LUT of its own.",
            )
    refuse_not_finite_results(path, processor)


@contextmanager
def _copy(path: Path, data: bytes) -> Iterator[Path]:
    """Lay the bytes of a file under a name of their own.

    OpenColorIO keeps a file that it once read by its path, and expands ``$NAME`` in one.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, f"look{path.suffix.lower()}")
        copy.write_bytes(data)
        yield copy


def _unreadable(path: Path, copy: Path, error: Exception) -> InputError:
    """Return one line on why, without the names under which the library tried the file."""
    text = " ".join(str(error).replace(str(copy), path.name).split())
    if isinstance(error, UnicodeDecodeError):
        text = "it is no text"
    tried = re.search(r"' failed with: (.*?)(?= '[^']+' failed with: |$)", text)
    why = tried[1] if tried else text
    why = re.sub(r"^Error (parsing|loading) .*? ?file( \(.*?\))?\. *", "", why)
    why = re.sub(r"^Does not appear to contain a valid ASC CDL XML: *", "", why)
    why = re.sub(r"^Error parsing \w+ \(.*?\)\. Error is: *", "", why)
    return InputError(
        f"Cannot read the look file {path}: {why.rstrip('.') or 'it is empty'}.",
        "Write it anew from where it came, or give another.",
    )


def _triple(values: list[float]) -> Triple:
    red, green, blue = (float(value) for value in values)
    return red, green, blue
