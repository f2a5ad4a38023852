"""RGB values and rows of pixels, from one reading to another."""

from __future__ import annotations

from typing import Any

import numpy as np
import PyOpenColorIO as ocio
from numpy.typing import NDArray

from primecoat.colour.defaults import DEFAULT_CONFIG
from primecoat.colour.ocio.configs import load_config
from primecoat.colour.ocio.kept import kept_by_config
from primecoat.colour.ocio.processors import Floats, applied, built, clean_registers, exact
from primecoat.colour.ocio.spaces import space_in_config

_DEPTHS = {
    "uint8": ocio.BIT_DEPTH_UINT8,
    "uint16": ocio.BIT_DEPTH_UINT16,
    "float16": ocio.BIT_DEPTH_F16,
    "float32": ocio.BIT_DEPTH_F32,
}


@kept_by_config(most=64)
def _processor(source: str, target: str, config: str) -> ocio.CPUProcessor:
    names = space_in_config(source, config), space_in_config(target, config)
    return exact(built(load_config(config), f"{target} of {source}", *names))


def conversion_id(source: str, target: str, config: str = DEFAULT_CONFIG) -> str:
    """Return what stands for a conversion between two readings as a config defines it.

    It is the same for the same steps and numbers, whatever names the config has for them, and
    changes with the content of a LUT file.

    Examples
    --------
    >>> conversion_id("srgb_rec709_scene", "lin_ap1_scene") == conversion_id("g22_rec709_scene",
    ...     "lin_ap1_scene")
    False
    """
    names = space_in_config(source, config), space_in_config(target, config)
    return str(load_config(config).getProcessor(*names).getCacheID())


def convert(
    values: NDArray[np.floating] | tuple[float, ...],
    source: str,
    target: str,
    config: str = DEFAULT_CONFIG,
) -> Floats:
    """Convert RGB values from one reading to another, exactly.

    Parameters
    ----------
    values
        Array of shape (..., 3); any range.
    source, target
        Readings (Color Interop IDs).
    config
        Built-in name or path.

    Returns
    -------
    numpy.ndarray
        float32, same shape. The input is not changed.

    Examples
    --------
    >>> [round(float(v), 4) for v in convert((1.0, 0.0, 0.0), "lin_rec709_scene", "lin_ap1_scene")]
    [0.6131, 0.0702, 0.0206]
    """
    return applied(_processor(source, target, config), values)


@kept_by_config(most=64)
def _row_processor(source: str, target: str, config: str, depth: str) -> ocio.CPUProcessor:
    names = space_in_config(source, config), space_in_config(target, config)
    processor = built(load_config(config), f"{target} of {source}", *names)
    return processor.getOptimizedCPUProcessor(
        _DEPTHS[depth], ocio.BIT_DEPTH_F32, ocio.OPTIMIZATION_COMP_SEPARABLE_PREFIX
    )


def convert_rows(
    rows: NDArray[Any], source: str, target: str, config: str = DEFAULT_CONFIG
) -> Floats:
    """Convert rows of stored RGB numbers to another reading, as exactly as :func:`convert`.

    Curves on whole numbers and half floats are looked up, one exactly computed entry a code,
    which gives the same float32 numbers five times faster; no other shortcut is taken.

    Parameters
    ----------
    rows
        Shape (..., 3), C-contiguous; uint8, uint16 (codes, the greatest counts as 1), float16 or
        float32.
    source, target, config
        As in :func:`convert`.

    Returns
    -------
    numpy.ndarray
        float32, same shape. The input is not changed.

    Examples
    --------
    >>> white = np.full((1, 1, 3), 255, np.uint8)
    >>> convert_rows(white, "srgb_rec709_scene", "lin_ap1_scene").round(6).tolist()
    [[[1.0, 1.0, 1.0]]]
    """
    out = np.empty(rows.shape, np.float32)
    if rows.size:
        name = rows.dtype.name
        width = rows.size // 3
        described = [
            ocio.PackedImageDesc(
                pixels,
                width,
                1,
                3,
                _DEPTHS[pixels.dtype.name],
                pixels.itemsize,
                3 * pixels.itemsize,
                rows.size * pixels.itemsize,
            )
            for pixels in (rows, out)
        ]
        clean_registers()
        _row_processor(source, target, config, name).apply(*described)
    return out
