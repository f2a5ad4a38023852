"""What must be done to numbers that the image library decodes before they are the picture's.

The library passes over EXPOSURE and COLORCORR of Radiance pictures, and turns ink into RGB by a
bare formula; CIELab it hands out as if it were RGB.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.errors import ImageError
from primecoat.images.head import Head
from primecoat.images.jpeg import INK
from primecoat.images.radiance import radiance_scale
from primecoat.images.tiff import NOT_RGB

_INK_MODES = ("CMYK", "YCbCrK")


def refuse_other_numbers(path: Path, found: Mapping[str, Any]) -> None:
    """Refuse pixels that are neither RGB nor grey: no formula without a profile gives their colour.

    Parameters
    ----------
    path
        The file.
    found
        Attributes of the opened picture by name.

    Raises
    ------
    ImageError
        If it holds ink, CIELab, or the numbers of a camera.
    """
    photometric = found.get("tiff:PhotometricInterpretation")
    kind = NOT_RGB.get(photometric) if isinstance(photometric, int) else None
    if found.get("jpeg:ColorSpace") in _INK_MODES or found.get("psd:ColorMode") in _INK_MODES:
        kind = INK
    if kind:
        raise ImageError(
            f"Cannot use the pixels of {path}: it holds {kind} numbers, and only a conversion "
            "through its profile makes RGB of them.",
            "Convert it to RGB through its ICC profile where it was made, and export it again.",
        )


class StoredScale:
    """Divides out what a picture's numbers were multiplied by when they were stored.

    Parameters
    ----------
    path
        The file.
    format_name
        The library's name of its format; all but ``hdr`` are left as they are.
    """

    def __init__(self, path: Path, format_name: str) -> None:
        self._divisor: NDArray[np.float32] | None = None
        if format_name == "hdr":
            with path.open("rb") as stream:
                scale = radiance_scale(Head(stream))
            if scale != (1.0, 1.0, 1.0):
                self._divisor = np.array(scale, np.float32)

    def undo(self, pixels: NDArray[Any]) -> NDArray[Any]:
        """Return the original numbers; shape (..., 3) for a format that has a scale."""
        if self._divisor is None:
            return pixels
        original: NDArray[Any] = pixels / self._divisor
        return original
