"""A second reader: rows of pictures from their bytes, by none of the library that writes them.

It reads the plain layouts that are handed over, and gives None for any other. A picture that it
reads as it was meant does not hang on one library's mistake, made alike in writing and reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from numpy.typing import NDArray

from primecoat.images.second_reader.exr import exr_rows
from primecoat.images.second_reader.png import png_rows
from primecoat.images.second_reader.tiff import tiff_rows

__all__ = ["second_rows"]

_READERS = {".exr": exr_rows, ".png": png_rows, ".tif": tiff_rows}


def second_rows(path: Path) -> Iterator[NDArray[Any]] | None:
    """Return the rows of a picture from top to bottom, or None for a layout it does not read.

    The rows have the shape (rows, width, channels) and the stored type; channels of OpenEXR come
    as R, G, B and A whatever their order in the file.

    Raises
    ------
    ImageError
        If the file is damaged; also while rows are read.
    """
    reader = _READERS.get(path.suffix.lower())
    return None if reader is None else reader(path)
