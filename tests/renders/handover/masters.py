"""Masters to hand over, and files read by libraries that did not write them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import OpenEXR
import OpenImageIO as oiio
import PyOpenColorIO as ocio
import tifffile
from numpy.typing import NDArray

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.images.oiio import write_pixels

AP1 = "lin_ap1_scene"
STALE = (0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290)
"""Chromaticities of Rec.709, which no new file may inherit. Source: ITU-R BT.709."""


def master(
    path: Path, pixels: NDArray[Any], space: str = AP1, kind: str = "float", **attributes: Any
) -> Path:
    """Write an OpenEXR master that states its space and holds stale chromaticities beside it."""
    held = {"colorInteropID": space, "chromaticities": STALE, "Artist": "the potter", **attributes}
    if not space:
        del held["colorInteropID"]
    write_pixels(path, pixels, pixel_type=kind, attributes=held)
    return path


def colours(*values: Sequence[float]) -> NDArray[np.float32]:
    """Return one row of colours."""
    return np.array([values], np.float32)


def light(width: int = 40, height: int = 24, seed: int = 1) -> NDArray[np.float32]:
    """Return random light of some stops about mid-grey, with some numbers below 0."""
    rng = np.random.default_rng(seed)
    found = 0.18 * 2.0 ** rng.normal(0, 3, (height, width, 3))
    return (found - 0.01).astype(np.float32)


def covered(seed: int = 1) -> NDArray[np.float32]:
    """Return light multiplied by alpha, and alpha (half numbers): nothing, all and between."""
    alpha = np.random.default_rng(seed).choice([0, 0.25, 0.5, 0.731, 1], (24, 40)).astype("f2")
    rgb = light(seed=seed) * alpha[..., None]
    return np.concatenate([rgb, alpha[..., None]], axis=-1).astype(np.float32)


def exr(path: Path) -> tuple[dict[str, Any], NDArray[Any]]:
    """Return header and pixels as the OpenEXR package reads them."""
    with OpenEXR.File(str(path), separate_channels=True) as file:
        planes = file.channels()
        names = [name for name in "RGBA" if name in planes]
        return dict(file.header()), np.stack([planes[n].pixels for n in names], axis=-1)


def spec(path: Path) -> Any:
    """Return what OpenImageIO tells of a file's header."""
    source = oiio.ImageInput.open(str(path))
    assert source is not None
    found = source.spec()
    source.close()
    return found


def tiff_tag(path: Path, name: str) -> Any:
    """Return the value of a tag of the first page, as tifffile reads it."""
    with tifffile.TiffFile(path) as file:
        page: Any = file.pages[0]
        return page.tags[name].value


def view(
    values: NDArray[np.float32], display: str, name: str, space: str = "ACEScg"
) -> NDArray[np.float32]:
    """Return what OpenColorIO's own processor makes of light, without optimisation."""
    config = ocio.Config.CreateFromBuiltinConfig(DEFAULT_CONFIG)
    transform = ocio.DisplayViewTransform(src=space, display=display, view=name)
    processor = config.getProcessor(transform).getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
    out = np.ascontiguousarray(values, np.float32).copy()
    processor.applyRGB(out)
    return out
