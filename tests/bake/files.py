"""Picture files written and read by libraries that are not ours."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import OpenEXR
import tifffile
from numpy.typing import NDArray

from primecoat.bake.picture import Baked, bake_picture
from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.files import sha256_of
from primecoat.plan.recipe import Storage

Pixels = NDArray[Any]
Floats = NDArray[np.float64]

HALF_ROUNDING = 2.0**-11
"""Half of the last place of an 11-bit significand. Source: IEEE 754-2008, binary16."""

FLOAT32 = 2e-6
"""Conversions run in float32: figures of size 1 hold to about six digits after two steps."""

_SCANLINES = {"type": OpenEXR.scanlineimage, "compression": OpenEXR.ZIP_COMPRESSION}


def bake(
    source: Path,
    target: str,
    reading: str = "srgb_rec709_scene",
    to_space: str = "lin_ap1_scene",
    layers: dict[tuple[int, str], str] | None = None,
    **storage: Any,
) -> tuple[Path, Baked]:
    """Bake a picture to a name beside it."""
    path = source.with_name(target)
    made = bake_picture(
        source,
        path,
        reading=reading,
        to_space=to_space,
        config=DEFAULT_CONFIG,
        source_sha256=sha256_of(source),
        storage=Storage(ending=path.suffix, **storage),
        layers=layers,
    )
    return path, made


def write(path: Path, pixels: Pixels) -> Path:
    """Write rows of RGB(A) or grey: OpenEXR by its own library, TIFF by tifffile, PNG by libpng."""
    if path.suffix == ".exr":
        names = {1: "Y", 2: "YA", 3: "RGB", 4: "RGBA"}[pixels.shape[-1]]
        planes = {n: np.ascontiguousarray(pixels[..., i]) for i, n in enumerate(names)}
        OpenEXR.File(dict(_SCANLINES), planes).write(str(path))
    elif path.suffix == ".tif":
        extra: dict[str, Any] = {} if pixels.shape[-1] % 2 else {"extrasamples": ["unassalpha"]}
        kind = "rgb" if pixels.shape[-1] > 2 else "minisblack"
        tifffile.imwrite(path, pixels, photometric=kind, compression="deflate", **extra)
    else:
        path.write_bytes(imagecodecs.png_encode(pixels))
    return path


def read(path: Path) -> Pixels:
    """Read rows of R, G, B and A (or Y), in the stored type."""
    if path.suffix == ".exr":
        planes = planes_of(path)
        names = [name for name in ("R", "G", "B", "Y", "A") if name in planes]
        return np.stack([planes[name] for name in names], axis=-1)
    pixels = np.asarray(
        tifffile.imread(path)
        if path.suffix == ".tif"
        else imagecodecs.png_decode(path.read_bytes())
    )
    return pixels if pixels.ndim == 3 else pixels[..., None]


def tags_of(path: Path) -> dict[int, Any]:
    """Return the tags of all pages of a TIFF by number, by tifffile; those of the first rule."""
    with tifffile.TiffFile(path) as file:
        pages = [page for page in file.pages if isinstance(page, tifffile.TiffPage)]
        return {tag.code: tag.value for page in reversed(pages) for tag in page.tags}


def planes_of(path: Path, part: int = 0) -> dict[str, Pixels]:
    """Return the channels of one part of an OpenEXR file, by OpenEXR's own library."""
    with OpenEXR.File(str(path), separate_channels=True) as file:
        return {name: np.array(c.pixels) for name, c in file.parts[part].channels.items()}


def headers_of(path: Path) -> list[dict[str, Any]]:
    """Return the header of each part of an OpenEXR file, by OpenEXR's own library."""
    with OpenEXR.File(str(path), header_only=True) as file:
        return [dict(part.header) for part in file.parts]


def values(pixels: Pixels) -> Floats:
    """Return what stored numbers stand for, in float64."""
    whole = pixels.dtype.kind == "u"
    return np.asarray(pixels / (np.iinfo(pixels.dtype).max if whole else 1.0), np.float64)


def rounding(pixels: Pixels, wanted: Floats) -> Floats:
    """Return how far a stored number may be from the value wanted: half of its last place."""
    if pixels.dtype.kind == "u":
        return np.full_like(wanted, 0.5 / np.iinfo(pixels.dtype).max)
    return np.abs(wanted) * (HALF_ROUNDING if pixels.dtype == np.float16 else 0.0)
