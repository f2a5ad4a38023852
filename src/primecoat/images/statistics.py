"""Measure a picture's pixels in one pass at a bounded cost on top of decoding."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.alpha import measure_alpha
from primecoat.images.block_grid import find_blocks
from primecoat.images.channel_statistics import correlation, of_codes, of_floats
from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.images.chroma import measure_chroma
from primecoat.images.colour_sample import sample_colours
from primecoat.images.coverage import measure_coverage
from primecoat.images.fingerprint import Fingerprint, take_fingerprint
from primecoat.images.header import ImageHeader
from primecoat.images.image_statistics import AlphaStatistics, ChannelStatistics, ImageStatistics
from primecoat.images.independence import relate
from primecoat.images.levels import measure_levels
from primecoat.images.light_range import measure_range
from primecoat.images.normal_fit import NormalFit, fit_normals, vectors_of
from primecoat.images.normal_green import GreenDirection, find_green
from primecoat.images.pixel_sample import gather
from primecoat.images.spatial import measure_neighbours
from primecoat.images.tiling import measure_seam
from primecoat.images.tone_shape import measure_tone
from primecoat.images.two_channel_normals import TwoChannelFit, fit_two_channels

__all__ = ["AlphaStatistics", "ChannelStatistics", "ImageStatistics", "measure"]

Floats = NDArray[np.float32]

_RELATED = 4
"""Channels that are related with one another."""

_PIXELS = 64 * 1024
"""Pixels of the sample that all but histograms and counts look at."""


def measure(path: Path, header: ImageHeader) -> ImageStatistics:
    """Measure the first part of a picture.

    Parameters
    ----------
    path
        The file.
    header
        Its header, as read by :func:`primecoat.images.read_header.read_header`.

    Returns
    -------
    ImageStatistics
        8- and 16-bit pictures are sampled evenly (256 Ki pixels at most, and 16 windows of
        64 x 64 neighbours); of all others the counts and extremes are exact.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    codes = header.pixel_type in ("uint8", "uint16")
    colour = colour_channels(header.channels)
    alpha = alpha_channel(header.channels) if header.alpha != "none" else None
    near = _windowed(len(header.channels), colour, alpha)
    sample = gather(path, header.width, header.height, codes=codes, near=near)
    raw = sample.values
    if codes:
        sound = raw
        channels = [of_codes(n, r) for n, r in zip(header.channels, raw, strict=True)]
    else:
        sound = raw[:, np.isfinite(raw).all(axis=0)]
        facts = zip(header.channels, raw, sample.exact, strict=True)
        channels = [of_floats(name, row, exact) for name, row, exact in facts]
    related = tuple(range(min(_RELATED, len(raw))))
    thin = _unit(sound[:, :: max(1, sound.shape[1] // _PIXELS)])
    windows = _unit(sample.windows)
    triple = sound[list(colour)] if len(colour) == 3 else None
    painted = list(colour)
    normals = None if triple is None else fit_normals(triple, windows)
    exact = [sample.exact[i] for i in colour] if sample.exact else []
    return ImageStatistics(
        pixels=header.width * header.height,
        sampled=raw.shape[1],
        exact=not codes,
        channels=tuple(channels),
        colour=colour,
        channel_difference=None if triple is None else _difference(thin[painted]),
        correlation=correlation(thin[: len(related)]),
        alpha=None if alpha is None else measure_alpha(thin[alpha], thin[painted]),
        normals=normals,
        green=None if normals is None else _green(windows, normals),
        two_channel=_two_channel(thin, windows, near, signed=not codes, alpha=alpha),
        pairs=relate(thin[list(related)], related) if thin.shape[1] else (),
        chroma=measure_chroma(thin[painted]) if len(colour) == 3 else None,
        tone=measure_tone(windows[:, :3]) if len(colour) == 3 else None,
        range=measure_range(thin[painted], exact),
        levels=measure_levels(sound[painted], half=header.pixel_type == "half"),
        neighbours=measure_neighbours(windows[:, : len(colour)]),
        blocks=find_blocks(windows[:, : len(colour)].mean(axis=1)) if colour else None,
        coverage=measure_coverage(raw[painted]),
        fingerprint=_fingerprint(raw, sample.rows, sample.columns, related),
        seam=_seam(raw, painted, sample.rows, sample.columns),
        colours=sample_colours(thin[painted]) if len(colour) == 3 else (),
    )


def _unit(numbers: NDArray[Any]) -> Floats:
    """Return numbers as float32, integers scaled to 0 to 1, what is not finite or huge cut off."""
    if numbers.dtype.kind == "u":
        return numbers.astype(np.float32) * np.float32(1.0 / np.iinfo(numbers.dtype).max)
    finite = np.nan_to_num(numbers, nan=0.0, posinf=_HUGE, neginf=-_HUGE)
    return np.asarray(finite.clip(-_HUGE, _HUGE), dtype=np.float32)


_HUGE = 1e9
"""Its square still fits into float32, with room for sums."""


def _difference(triple: Floats) -> float:
    if not triple.shape[1]:
        return 0.0
    red, green, blue = triple
    total = np.abs(red - green) + np.abs(green - blue) + np.abs(blue - red)
    return float(total.mean(dtype=np.float64)) / 3


def _green(windows: Floats, normals: NormalFit) -> GreenDirection | None:
    """Look for the direction under the storage that fits best: curves keep the sign anyway."""
    if min(windows.shape[2:]) < 4:
        return None
    best = min(normals.fits, key=lambda fit: fit.length_error + fit.tilt)
    return find_green(vectors_of(windows.clip(-4.0, 4.0), best.storage))


def _two_channel(
    values: Floats, windows: Floats, near: tuple[int, ...], *, signed: bool, alpha: int | None
) -> TwoChannelFit | None:
    if len(near) < 2 or min(windows.shape[2:]) < 4:
        return None
    limited = values[list(near)].clip(-4.0, 4.0)
    return fit_two_channels(
        limited, windows.clip(-4.0, 4.0), near, signed=signed, alpha=near[-1] == alpha
    )


def _windowed(count: int, colour: tuple[int, ...], alpha: int | None) -> tuple[int, ...]:
    """Return the channels of which windows are kept: colour first, then what may go with it."""
    if len(colour) == 3:
        return colour if alpha is None else (*colour, alpha)
    others = [i for i in range(count) if i not in colour]
    return (*colour, *others)[:2]


def _seam(raw: NDArray[Any], painted: Sequence[int], rows: int, columns: int) -> float | None:
    if not painted:
        return None
    grey = _unit(raw[list(painted)]).mean(axis=0)
    return measure_seam(np.clip(grey, -1.0, 4.0).reshape(rows, columns))


def _fingerprint(raw: NDArray[Any], rows: int, columns: int, related: Sequence[int]) -> Fingerprint:
    return take_fingerprint(_unit(raw[list(related)]), rows, columns)
