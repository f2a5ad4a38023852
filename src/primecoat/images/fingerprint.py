"""A small fingerprint of a picture, fit to be compared with that of another.

Two things are kept: quantiles of each channel, which tell whether two tiles of a set were stored
through the same curve (a monotone curve maps quantiles to quantiles), and a mosaic of 16 x 16
means, which tells whether two maps of one surface show the same, the opposite, or neither.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.images.curves import light_to_srgb, srgb_to_light

QUANTILES = (0.01, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95, 0.99)
SIDE = 16
Relation = Literal["same", "srgb_encoded", "srgb_decoded"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fingerprint:
    """Quantiles and mosaic of up to four channels.

    Parameters
    ----------
    quantiles
        For each channel, the values at :data:`QUANTILES`; integers scaled to 0 to 1.
    mosaic
        Means of 16 x 16 parts of each channel, each scaled to its own range: little-endian
        16-bit codes in base64; empty for pictures of less than 16 pixels a side.
    """

    quantiles: tuple[tuple[float, ...], ...]
    mosaic: str

    def parts(self) -> NDArray[np.float64]:
        """Return the mosaic, shape (channels, 16, 16), each channel from 0 to 1."""
        codes = np.frombuffer(base64.b64decode(self.mosaic), dtype="<u2")
        return np.asarray(codes.reshape(-1, SIDE, SIDE) / 65535.0)


def take_fingerprint(values: NDArray[np.float32], rows: int, columns: int) -> Fingerprint:
    """Take it from an even sample.

    Parameters
    ----------
    values
        Shape (channels, rows * columns), finite, integers scaled to 0 to 1.
    rows, columns
        Size of the sampled grid.
    """
    thin = values[:, :: max(1, values.shape[1] // 32768)]
    levels = np.quantile(thin, QUANTILES, axis=1).T if values.shape[1] else np.zeros((0, 0))
    mosaic = b""
    if min(rows, columns) >= SIDE:
        grid = values.reshape(len(values), rows, columns)
        down = np.arange(SIDE) * rows // SIDE
        along = np.arange(SIDE) * columns // SIDE
        sums = np.add.reduceat(np.add.reduceat(grid, down, axis=1), along, axis=2)
        areas = np.outer(np.diff(down, append=rows), np.diff(along, append=columns))
        means = sums.astype(np.float64) / areas
        low = means.min(axis=(1, 2), keepdims=True)
        reach = np.maximum(means.max(axis=(1, 2), keepdims=True) - low, 1e-6)
        mosaic = np.rint((means - low) / reach * 65535).astype("<u2").tobytes()
    return Fingerprint(
        quantiles=tuple(tuple(float(v) for v in row) for row in levels),
        mosaic=base64.b64encode(mosaic).decode("ascii"),
    )


def spatial_correlation(
    a: Fingerprint, b: Fingerprint, channel_a: int = 0, channel_b: int = 0
) -> float | None:
    """Return how alike two maps of one surface are laid out, -1 to 1.

    Glossiness is 1 - roughness (common practice, no source), so that the two lie near -1 where
    both exist. None where there is nothing to compare.
    """
    if not a.mosaic or not b.mosaic:
        return None
    one, other = a.parts(), b.parts()
    if channel_a >= len(one) or channel_b >= len(other):
        return None
    x, y = one[channel_a] - one[channel_a].mean(), other[channel_b] - other[channel_b].mean()
    size = float(np.sqrt((x * x).sum() * (y * y).sum()))
    return float((x * y).sum() / size) if size > 1e-9 else None


def tile_distances(tile: Fingerprint, others: Fingerprint) -> dict[Relation, float]:
    """Return how far a tile's quantiles lie from others', as stored and after either curve.

    A tile of a set that went through a curve alone is nearer once the curve is undone.

    Parameters
    ----------
    tile
        The tile in question.
    others
        One tile of its set (or the middle of them, see :func:`middle`).

    Returns
    -------
    dict
        Mean distance of the quantiles as stored (``same``), after undoing an encoding
        (``srgb_encoded``) and after undoing a decoding (``srgb_decoded``); infinite where the
        channels do not match.
    """
    a, b = np.array(tile.quantiles), np.array(others.quantiles)
    if a.shape != b.shape or not a.size:
        return {"same": np.inf, "srgb_encoded": np.inf, "srgb_decoded": np.inf}
    ways: dict[Relation, NDArray[Any]] = {
        "same": a,
        "srgb_encoded": srgb_to_light(a),
        "srgb_decoded": light_to_srgb(a),
    }
    return {way: float(np.mean(np.abs(levels - b))) for way, levels in ways.items()}


def middle(tiles: tuple[Fingerprint, ...]) -> Fingerprint | None:
    """Return the median of tiles with the commonest number of channels, or None for no tile."""
    if not tiles:
        return None
    counts = [len(tile.quantiles) for tile in tiles]
    usual = max(counts, key=counts.count)
    levels = np.array([tile.quantiles for tile in tiles if len(tile.quantiles) == usual])
    median = np.median(levels, axis=0)
    return Fingerprint(quantiles=tuple(tuple(float(v) for v in row) for row in median), mosaic="")
