"""What must be done to numbers that the image library decodes before they are the picture's.

The library passes over EXPOSURE and COLORCORR of Radiance pictures, and turns ink into RGB by a
bare formula; CIELab it hands out as if it were RGB. Grey TIFFs whose 0 is white (TIFF 6.0,
PhotometricInterpretation 0: "0 is imaged as white. 2**BitsPerSample-1 is imaged as black") it turns
round up to 8 bits only.
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
    """Takes back what was done to a picture's numbers when they were stored.

    Radiance pictures are divided by what they were multiplied by; grey whole numbers of more than
    8 bits whose 0 is white are turned round.

    Parameters
    ----------
    path
        The file.
    format_name
        The library's name of its format.
    found
        Attributes of the opened picture by name.
    kind
        The library's name of its type.
    channels
        How many it has.

    Raises
    ------
    ImageError
        If 0 is white beside an alpha.
    """

    def __init__(
        self, path: Path, format_name: str, found: Mapping[str, Any], kind: str, channels: int
    ) -> None:
        white = found.get("tiff:PhotometricInterpretation") == 0 and format_name == "tiff"
        self._turned = white and kind in ("uint16", "uint")
        if self._turned and channels > 1:
            raise ImageError(
                f"Cannot use the pixels of {path}: 0 is white in it, and it has {channels} "
                "channels.",
                "Export it again as grey whose 0 is black.",
            )
        self._divisor: NDArray[np.float32] | None = None
        if format_name == "hdr":
            with path.open("rb") as stream:
                scale = radiance_scale(Head(stream))
            if scale != (1.0, 1.0, 1.0):
                self._divisor = np.array(scale, np.float32)

    def undo(self, pixels: NDArray[Any]) -> NDArray[Any]:
        """Return the original numbers; shape (..., 3) for a format that has a scale."""
        if self._turned:
            most = 1 if pixels.dtype.kind == "f" else np.iinfo(pixels.dtype).max
            turned: NDArray[Any] = pixels.dtype.type(most) - pixels
            return turned
        if self._divisor is None:
            return pixels
        original: NDArray[Any] = pixels / self._divisor
        return original
