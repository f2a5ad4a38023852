"""The match: the few numbers of a CDL that give a new picture the look of the old one."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import convert
from primecoat.colour.ocio.look_guard import read_look_bytes
from primecoat.colour.ocio.transforms import run_cdl
from primecoat.colour.primaries import Triple
from primecoat.config.look_contents import read_correction
from primecoat.config.look_file import CDL_SUFFIXES, split_correction
from primecoat.errors import InputError, UseError

Floats = NDArray[np.float32]

ACTS_ON: Final = "ACEScct"
"""Space that a match's numbers act on; Source: S-2016-001. They do not clamp."""

_LARGEST: Final = 1 << 20
"""Bytes of a match document; those that are written hold some thousands."""

_BEYOND: Final = 1e4
"""Numbers of a CDL beyond which nothing is a look."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """A match as a CDL on ACEScct, without a clamp.

    Parameters
    ----------
    name
        File it was read from.
    slope, offset, power, saturation
        As in ASC CDL v1.2.
    """

    name: str
    slope: Triple
    offset: Triple
    power: Triple
    saturation: float

    def on(self, numbers: Floats, working: str, config: str) -> Floats:
        """Return linear numbers of a working space after it, shape (height, width, 3)."""
        codes = convert(np.ascontiguousarray(numbers, np.float32), working, ACTS_ON, config)
        run = run_cdl(
            self.slope, self.offset, self.power, self.saturation, clamp=False, config=config
        )
        graded = run(codes.reshape(-1, 3)).reshape(codes.shape)
        return convert(np.ascontiguousarray(graded, np.float32), ACTS_ON, working, config)


def read_grade(given: str) -> Grade:
    """Read a match: the document of ``match --json``, or the CDL file that ``match --out`` writes.

    Parameters
    ----------
    given
        A file; of a file with several corrections ``FILE#ID``.

    Raises
    ------
    UseError
        If it is neither, or holds several corrections and none is named.
    InputError
        If it cannot be read.
    """
    path, wanted = split_correction(given)
    if path.suffix.lower() in CDL_SUFFIXES:
        _, cdl = read_correction(path, read_look_bytes(path, f"the match {path}"), wanted)
        return Grade(
            name=path.name,
            slope=cdl.slope,
            offset=cdl.offset,
            power=cdl.power,
            saturation=cdl.saturation,
        )
    return _from_document(path)


def _from_document(path: Path) -> Grade:
    try:
        if path.stat().st_size > _LARGEST:
            raise ValueError
        document: Any = json.loads(path.read_text(encoding="utf-8"))
        numbers = document["cdl"]
        if document["document"] != "primecoat.match/1" or document["acts_on"] != ACTS_ON:
            raise ValueError
        return Grade(
            name=path.name,
            slope=_triple(numbers["slope"]),
            offset=_triple(numbers["offset"], least=-_BEYOND),
            power=_triple(numbers["power"]),
            saturation=_number(numbers["saturation"], 0.0),
        )
    except OSError as error:
        raise InputError(
            f"Cannot read the match {path}: {error.strerror or error}.", "Give another file."
        ) from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise UseError(
            f"{path} holds no match.",
            f"Give what 'primecoat match --json' printed, or a file {', '.join(CDL_SUFFIXES)} "
            "that 'match --out' wrote.",
        ) from error


def _triple(values: Any, *, least: float = 0.0) -> Triple:
    red, green, blue = values
    return _number(red, least), _number(green, least), _number(blue, least)


def _number(value: Any, least: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError
    if not least <= value <= _BEYOND:
        raise ValueError
    return float(value)
