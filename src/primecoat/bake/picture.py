"""Bake one picture: colour channels converted exactly, alpha carried as it is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.errors import ImageError
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.images.oiio import read_pixels, write_pixels
from primecoat.images.read_header import read_header
from primecoat.plan.baked import BAKED_FROM
from primecoat.version import __version__


def bake_picture(
    source: Path, target: Path, *, reading: str, to_space: str, config: str, source_sha256: str
) -> None:
    """Write a picture converted from its reading to another space.

    The result is an OpenEXR file, half float, or float where half cannot hold the values (alpha
    exactly). Alpha and the colour under zero alpha are kept. Colour is multiplied by alpha as it
    is in the source (and divided by it while a curve is applied). The only colour statement in
    the result is ``colorInteropID``; a record says what was baked from what.

    Parameters
    ----------
    source, target
        Pictures; the target's suffix is ``.exr``.
    reading, to_space
        Color Interop IDs.
    config
        OpenColorIO config, built-in name or path.
    source_sha256
        Hash of the source, for the record.

    Raises
    ------
    ImageError
        If the picture has other channels than R, G, B (or Y) and A.
    """
    header = read_header(source)
    pixels = scale(read_pixels(source))
    names = list(header.channels)
    if set(names) - {"R", "G", "B", "Y", "A"}:
        raise ImageError(
            f"Cannot bake {source}: it has the channels {', '.join(names)}.",
            "Export it with R, G and B (or Y), and A if it has one, and nothing else; or use the "
            "tag route.",
        )
    order = [names.index(n) for n in ("R", "G", "B")] if "R" in names else [names.index("Y")] * 3
    colour = np.ascontiguousarray(pixels[..., order])
    curved = not (SPACES[reading].linear and SPACES[to_space].linear)
    factor = np.ones((1, 1, 1), np.float32)
    if header.alpha == "associated" and "A" in names and curved:
        alpha = pixels[..., names.index("A"), None]
        factor = np.where(alpha > 0, alpha, np.float32(1.0))
    colour = convert(colour / factor, reading, to_space, config) * factor
    finite = colour[np.isfinite(colour)]
    half = finite.size == 0 or float(np.abs(finite).max()) <= HALF_LARGEST
    if "A" in names:
        alpha = pixels[..., names.index("A"), None]
        with np.errstate(over="ignore"):
            half = half and np.array_equal(alpha, alpha.astype(np.float16), equal_nan=True)
        colour = np.concatenate([colour, alpha], axis=-1)
    write_pixels(
        target,
        colour,
        pixel_type="half" if half else "float",
        attributes={
            "colorInteropID": to_space,
            "compression": "zip",
            "primecoat:baked": f"{reading} to {to_space}, {config}, primecoat {__version__}",
            BAKED_FROM: source_sha256,
        },
    )


def scale(pixels: NDArray[Any]) -> NDArray[np.float32]:
    """Return pixel codes as float32 values; integers of N bits are divided by 2^N - 1.

    Examples
    --------
    >>> scale(np.array([[[255]]], np.uint8)).item()
    1.0
    """
    values: NDArray[np.float32] = pixels.astype(np.float32)
    if pixels.dtype.kind == "u":
        values /= np.float32(np.iinfo(pixels.dtype).max)
    return values
