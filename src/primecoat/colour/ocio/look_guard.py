"""Look and look-up files from anywhere: what must hold before and after OpenColorIO reads one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import PyOpenColorIO as ocio

from primecoat.errors import InputError
from primecoat.limits import LOOK_BYTES, refuse_larger
from primecoat.location import printable

_DECLARES = re.compile(rb"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)
_LARGE = re.compile(rb"(?<![\w.#-])[+-]?(?:\d+\.?\d*|\.\d+)[eE]\+?\d{2,}")
_REFERS = re.compile(rb"<\s*(?:[\w.-]+:)?Reference\b")
_NUMBERS = (".cc", ".ccc", ".cdl", ".clf", ".ctf")
_LARGEST = float(np.finfo(np.float32).max)

_PROBES = np.array([[0.18, 0.5, 0.9], [0.5, 0.5, 0.5], [0.9, 0.18, 0.02]], np.float32)


def read_look_bytes(path: Path, what: str) -> bytes:
    """Return the bytes of a look file, if it is none that costs more than its worth.

    Parameters
    ----------
    what
        The file in words, such as ``the look file grade.cdl``.

    Raises
    ------
    InputError
        If it is missing or too large, declares a document type (which can hold entities without
        bound), refers to another file (which OpenColorIO would open, wherever it lies), or has a
        number that float32 cannot hold: OpenColorIO reads that as 0.
    """
    refuse_larger(path, str(path), LOOK_BYTES)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"Cannot read {what}: {error.strerror}.",
            "Check that it is there and its rights.",
        ) from error
    refuse_traps(path, data)
    return data


def refuse_elsewhere(listed_in: Path, path: Path) -> None:
    """Refuse a file that a list of corrections names, if it does not lie below the list's folder.

    Parameters
    ----------
    listed_in
        The list. A person gives it, but it can come from anywhere.
    path
        The file, joined to the list's folder; links are followed.

    Raises
    ------
    InputError
        If it lies elsewhere; nothing is opened then.
    """
    try:
        inside = path.resolve().is_relative_to(listed_in.parent.resolve())
    except (OSError, ValueError, RuntimeError):  # a circle of links, a zero byte
        inside = False
    if not inside:
        raise InputError(
            f"{listed_in} names {printable(str(path)[:200])}, which is not below its folder; it "
            "was not opened.",
            "Put a copy beside the list, and name that.",
        )


def refuse_traps(path: Path, data: bytes) -> None:
    """Refuse bytes of a look file that OpenColorIO would expand, or silently read otherwise.

    Raises
    ------
    InputError
        As for :func:`read_look_bytes`.
    """
    if path.suffix.lower() not in _NUMBERS:
        return
    if _DECLARES.search(data.replace(b"\0", b"")):
        raise InputError(
            f"Cannot read the look file {path}: it declares a document type, which can hold "
            "entities without bound; nothing of it was read.",
            "Take the <!DOCTYPE> out of the file.",
        )
    if _REFERS.search(data.replace(b"\0", b"")):
        raise InputError(
            f"Cannot use the look file {path}: it refers to another file.",
            "Write it as one file that holds everything.",
        )
    for found in _LARGE.finditer(data):
        if abs(float(found[0])) > _LARGEST:
            raise InputError(
                f"Cannot use the look file {path}: it holds the number {found[0].decode()[:40]}, "
                "which is beyond float32.",
                "Write it anew from where it came, or give another.",
            )


def refuse_not_finite(path: Path, steps: Iterable[ocio.Transform]) -> None:
    """Refuse operations of which one gives numbers that are infinite or none.

    Raises
    ------
    InputError
        If one does.
    """
    for step in steps:
        values: list[float] = []
        if isinstance(step, (ocio.Lut1DTransform, ocio.Lut3DTransform)):
            if not np.isfinite(step.getData()).all():
                raise _not_finite(path)
        elif isinstance(step, ocio.MatrixTransform):
            values = [*step.getMatrix(), *step.getOffset()]
        elif isinstance(step, ocio.CDLTransform):
            values = [*step.getSlope(), *step.getOffset(), *step.getPower(), step.getSat()]
        elif isinstance(step, ocio.GroupTransform):
            refuse_not_finite(path, step)
        if not np.isfinite(values).all():
            raise _not_finite(path)


def refuse_not_finite_results(path: Path, processor: ocio.Processor) -> None:
    """Refuse what gives ordinary colours back as infinite or none.

    Raises
    ------
    InputError
        If it does.
    """
    pixels = _PROBES.copy()
    processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE).applyRGB(pixels)
    if not np.isfinite(pixels).all():
        raise _not_finite(path)


def _not_finite(path: Path) -> InputError:
    return InputError(
        f"Cannot use the look file {path}: it holds numbers that are infinite or none.",
        "Write it anew from where it came, or give another.",
    )
