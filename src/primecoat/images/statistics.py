"""Measure a picture's pixels in one pass at a bounded cost on top of decoding."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from primecoat.images.channels import alpha_channel, colour_channels
from primecoat.images.header import ImageHeader
from primecoat.images.image_statistics import AlphaStatistics, ChannelStatistics, ImageStatistics
from primecoat.images.normal_fit import fit_normals
from primecoat.images.pixel_sample import ExactCounts, gather

__all__ = ["AlphaStatistics", "ChannelStatistics", "ImageStatistics", "measure"]

Floats = NDArray[np.float32]

_CORRELATED = 4
_CORRELATED_PIXELS = 64 * 1024
_NEAR = 0.05


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
        8- and 16-bit pictures are sampled evenly (256 Ki pixels at most); of all others the
        counts and extremes are exact.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    codes = header.pixel_type in ("uint8", "uint16")
    sample = gather(path, header.width, header.height, codes=codes)
    raw = sample.values
    if codes:
        sound, scale = raw, np.float32(1.0 / np.iinfo(raw.dtype).max)
        channels = [_of_codes(n, r) for n, r in zip(header.channels, raw, strict=True)]
    else:
        sound, scale = raw[:, np.isfinite(raw).all(axis=0)], np.float32(1.0)
        facts = zip(header.channels, raw, sample.exact, strict=True)
        channels = [_of_floats(name, row, exact) for name, row, exact in facts]
    colour = colour_channels(header.channels)
    alpha = alpha_channel(header.channels) if header.alpha != "none" else None
    triple = sound[list(colour)] if len(colour) == 3 else None
    return ImageStatistics(
        pixels=header.width * header.height,
        sampled=raw.shape[1],
        exact=not codes,
        channels=tuple(channels),
        colour=colour,
        channel_difference=None if triple is None else _difference(triple, scale),
        correlation=_correlation(sound[:_CORRELATED]),
        alpha=None if alpha is None else _alpha(sound[alpha], sound[list(colour)], scale),
        normals=None if triple is None else fit_normals(triple),
    )


def _of_codes(name: str, row: NDArray[Any]) -> ChannelStatistics:
    """Take all numbers of an integer channel from the histogram of its sampled codes."""
    most = int(np.iinfo(row.dtype).max)
    histogram = np.bincount(row, minlength=most + 1)
    used = np.flatnonzero(histogram)
    values, weights = used / most, histogram[used] / row.size
    mean = float(values @ weights)
    return ChannelStatistics(
        name=name,
        minimum=float(values[0]),
        maximum=float(values[-1]),
        mean=mean,
        deviation=math.sqrt(float((values - mean) ** 2 @ weights)),
        distinct=len(used),
        distinct_share=len(used) / min(most + 1, row.size),
        near_black=float(weights[values <= _NEAR].sum()),
        near_white=float(weights[values >= 1.0 - _NEAR].sum()),
        at_maximum=int(histogram[used[-1]]),
    )


def _of_floats(name: str, row: Floats, exact: ExactCounts) -> ChannelStatistics:
    sound = row[np.isfinite(row)]
    distinct = int(np.unique(sound).size)
    mean = exact.total / exact.finite if exact.finite else 0.0
    variance = exact.total_squares / exact.finite - mean**2 if exact.finite else 0.0
    sampled = max(1, sound.size)
    return ChannelStatistics(
        name=name,
        minimum=exact.minimum if exact.finite else 0.0,
        maximum=exact.maximum if exact.finite else 0.0,
        mean=mean,
        deviation=math.sqrt(max(0.0, variance)),
        distinct=distinct,
        distinct_share=distinct / sampled,
        near_black=int(np.count_nonzero(sound <= _NEAR)) / sampled,
        near_white=int(np.count_nonzero(sound >= 1.0 - _NEAR)) / sampled,
        at_maximum=exact.at_maximum if exact.finite else 0,
        nan=exact.nan,
        infinite=exact.infinite,
        negative=exact.negative,
        above_one=exact.above_one,
    )


def _difference(triple: NDArray[Any], scale: np.float32) -> float:
    if not triple.shape[1]:
        return 0.0
    wide = np.float64 if triple.dtype.kind == "f" else np.int32
    red, green, blue = triple.astype(wide)
    total = np.abs(red - green) + np.abs(green - blue) + np.abs(blue - red)
    return float(total.mean()) * float(scale) / 3


def _correlation(sound: NDArray[Any]) -> tuple[tuple[float | None, ...], ...]:
    step = max(1, sound.shape[1] // _CORRELATED_PIXELS)
    values = sound[:, ::step].astype(np.float64)
    if not values.shape[1]:
        return tuple((None,) * len(sound) for _ in sound)
    values -= values.mean(axis=1, keepdims=True)
    shared = np.einsum("ip,jp->ij", values, values)
    own = np.sqrt(np.diag(shared))
    floor = 1e-6 * math.sqrt(values.shape[1])

    def pair(i: int, j: int) -> float | None:
        if own[i] <= floor or own[j] <= floor:
            return None
        return float(np.clip(shared[i, j] / (own[i] * own[j]), -1.0, 1.0))

    count = range(len(values))
    return tuple(tuple(pair(i, j) for j in count) for i in count)


def _alpha(alpha: NDArray[Any], colour: NDArray[Any], scale: np.float32) -> AlphaStatistics:
    values = alpha.astype(np.float32) * scale
    clear, full = values <= 0.0, values >= 1.0
    partly = ~(clear | full)
    peak = colour.max(axis=0) if len(colour) else np.zeros_like(alpha)

    def share(part: NDArray[np.bool_], whole: NDArray[np.bool_]) -> float:
        return float(np.count_nonzero(part & whole)) / max(1, int(np.count_nonzero(whole)))

    everywhere = np.ones_like(clear)
    return AlphaStatistics(
        transparent=share(clear, everywhere),
        opaque=share(full, everywhere),
        colour_under_zero=share(peak > 0, clear),
        colour_above_alpha=share(peak > alpha, partly),
    )
