"""A small picture of a picture, for reports."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import through_view
from primecoat.images import oiio
from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.images.exact_counts import HALF_LARGEST
from primecoat.images.header import ImageHeader

Floats = NDArray[np.float64]

_CHECKER = (0.55, 0.70)
"""Codes of the two neutral greys shown under transparent parts."""

_CHECKER_SIZE = 8
_MOST = HALF_LARGEST
"""Greatest value averaged, so that one infinite pixel does not fill its neighbours."""


def thumbnail(
    path: Path,
    header: ImageHeader,
    *,
    size: int = 160,
    reading: str = "lin_rec709_scene",
) -> bytes:
    """Return a small RGB picture as the bytes of a PNG file without a colour statement.

    Parameters
    ----------
    path
        The file.
    header
        Its header.
    size
        Longest side in pixels; smaller pictures are not enlarged.
    reading
        How the numbers of a float picture are read before they are seen through the default view.
        A reading that is no colour space (``data``) shows 0 to 1 as they are. Integer pictures
        are always shown as their codes.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    width, height = _small(header.width, header.height, size)
    colour = colour_channels(header.channels) or (0,)
    alpha = alpha_channel(header.channels) if header.alpha != "none" else None
    sums = np.zeros((height, width, len(colour) + 1))
    weights = np.zeros((height, width, 1))
    for first, band in oiio.read_bands(path, as_float=True):
        _add(sums, weights, _premultiplied(band, header, colour, alpha), first, header)
    mean = sums / weights
    cover = np.clip(mean[..., -1:], 0.0, 1.0)
    shown = np.divide(mean[..., :-1], cover, out=np.zeros_like(mean[..., :-1]), where=cover > 0)
    codes = _codes(np.broadcast_to(shown, (height, width, 3)), header, reading)
    return _png(codes * cover + _checker(height, width) * (1.0 - cover))


def _small(width: int, height: int, size: int) -> tuple[int, int]:
    scale = min(1.0, size / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _premultiplied(
    band: NDArray[Any], header: ImageHeader, colour: tuple[int, ...], alpha: int | None
) -> NDArray[np.float32]:
    """Return colour multiplied by alpha, then alpha (1 without an alpha channel); all finite."""
    sound = band
    if not header.integer:
        sound = np.clip(np.nan_to_num(band, nan=0.0, posinf=_MOST, neginf=0.0), -_MOST, _MOST)
    picture = sound[..., list(colour)]
    if alpha is None:
        return np.concatenate([picture, np.ones_like(picture[..., :1])], axis=2)
    cover = np.clip(sound[..., alpha, None], 0.0, 1.0)
    if header.alpha == "unassociated":
        picture = picture * cover
    return np.concatenate([picture, cover], axis=2)


def _add(
    sums: Floats,
    weights: Floats,
    pixels: NDArray[np.float32],
    first: int,
    header: ImageHeader,
) -> None:
    """Add a band of rows to the boxes it falls into."""
    columns = np.arange(header.width) * sums.shape[1] // header.width
    rows = np.arange(first, first + len(pixels)) * sums.shape[0] // header.height
    at_x = np.flatnonzero(np.diff(columns, prepend=-1))
    at_y = np.flatnonzero(np.diff(rows, prepend=-1))
    across = np.add.reduceat(pixels, at_x, axis=1)
    sums[rows[at_y]] += np.add.reduceat(across, at_y, axis=0, dtype=np.float64)
    counts = np.outer(np.diff(at_y, append=len(rows)), np.diff(at_x, append=len(columns)))
    weights[rows[at_y]] += counts[..., None]


def _codes(shown: Floats, header: ImageHeader, reading: str) -> Floats:
    if not header.integer and reading in SPACES:
        return np.clip(through_view(shown, reading), 0.0, 1.0).astype(np.float64)
    return np.clip(shown, 0.0, 1.0)


def _checker(height: int, width: int) -> Floats:
    y, x = np.mgrid[0:height, 0:width] // _CHECKER_SIZE
    return np.where((x + y) % 2, _CHECKER[0], _CHECKER[1])[..., None]


def _png(codes: Floats) -> bytes:
    pixels = np.rint(codes * 255.0).astype(np.uint8)
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "thumbnail.png"
        oiio.write_pixels(target, pixels)
        return target.read_bytes()
