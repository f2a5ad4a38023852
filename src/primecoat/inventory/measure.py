"""Measure one picture: hash, header, pixel statistics. Runs in worker processes."""

from __future__ import annotations

from pathlib import Path

from primecoat.errors import InputError, TooLargeError
from primecoat.files import sha256_of
from primecoat.images.read_header import read_header
from primecoat.images.statistics import measure as measure_pixels
from primecoat.inventory.model import Measure


def measure_file(path: Path) -> Measure:
    """Return what a file is; a file that cannot be read is a measure with a problem."""
    sha256, header = "", None
    try:
        sha256 = sha256_of(path)
        header = read_header(path)
        statistics = measure_pixels(path, header)
    except InputError as error:
        lasting = not isinstance(error, TooLargeError)
        return Measure(sha256=sha256, header=header, problem=error.message, lasting=lasting)
    return Measure(sha256=sha256, header=header, statistics=statistics)
