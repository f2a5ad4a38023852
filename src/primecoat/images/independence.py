"""How far channels go their own ways: packed maps hold unrelated pictures, colour does not.

Light and pigment move the channels of a colour picture together, even where their correlation is
hidden by a curved relation; mutual information (Shannon 1948; Cover and Thomas, *Elements of
Information Theory*, chapter 2) sees any relation. Bimodality is Otsu's share of the variance that
two classes explain (*A threshold selection method from gray-level histograms*, IEEE Trans. SMC
9(1), 1979): masks and metalness are near 1, a normal distribution is at 2/pi, an even one at 3/4.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

_CLASSES = 16
_LEVELS = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelPair:
    """Relation of two channels.

    Parameters
    ----------
    first, second
        Their indices in the file.
    information
        Mutual information as a share of the lesser entropy: 0 unrelated, 1 one follows from the
        other. What chance alone gives is taken off. None where a channel is constant.
    histogram_distance
        Hellinger distance of the histograms: 0 the same values, 1 no value in common.
    """

    first: int
    second: int
    information: float | None
    histogram_distance: float


def relate(values: Floats, indices: tuple[int, ...]) -> tuple[ChannelPair, ...]:
    """Relate all pairs of channels.

    Parameters
    ----------
    values
        Shape (channels, pixels): finite, integers scaled to 0 to 1.
    indices
        The channels' indices in the file, one a row.
    """
    ranks = [_classes(row) for row in values]
    histograms = [_histogram(row) for row in values]
    return tuple(
        ChannelPair(
            first=indices[i],
            second=indices[j],
            information=_information(ranks[i], ranks[j]),
            histogram_distance=_hellinger(histograms[i], histograms[j]),
        )
        for i in range(len(values))
        for j in range(i + 1, len(values))
    )


def bimodality(shares: NDArray[np.floating]) -> float | None:
    """Return the share of the variance that the best two classes explain; None if constant.

    Parameters
    ----------
    shares
        Histogram of a channel in even steps from 0 to 1.

    Examples
    --------
    >>> round(bimodality(np.array([0.5, 0.0, 0.0, 0.5])), 3)
    1.0
    >>> round(bimodality(np.full(64, 1 / 64)), 2)
    0.75
    """
    centres = np.arange(len(shares)) / (len(shares) - 1)
    weight, moment = np.cumsum(shares), np.cumsum(shares * centres)
    total, mean = float(weight[-1]), float(moment[-1] / weight[-1])
    variance = float(shares @ (centres - mean) ** 2) / total
    if variance < 1e-6:
        return None
    share = weight[:-1] / total
    between = (mean * share - moment[:-1] / total) ** 2
    inner = share * (1.0 - share)
    best = np.divide(between, inner, out=np.zeros_like(inner), where=inner > 1e-12).max()
    return float(best) / variance


def _classes(row: Floats) -> NDArray[np.intp] | None:
    """Sort into classes of about the same number of pixels; equal values stay together."""
    edges = np.unique(np.quantile(row[::8] if row.size > 4096 else row, _QUANTILES))
    places = np.searchsorted(edges, row, side="right")
    return None if places.min() == places.max() else places


_QUANTILES = np.arange(1, _CLASSES) / _CLASSES


def _histogram(row: Floats) -> NDArray[np.float64]:
    levels = np.rint(np.clip(row, 0.0, 1.0) * np.float32(_LEVELS - 1)).astype(np.intp)
    return np.bincount(levels, minlength=_LEVELS) / max(1, row.size)


def _hellinger(a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    return float(np.sqrt(max(0.0, 1.0 - float(np.sqrt(a * b).sum()))))


def _information(first: NDArray[np.intp] | None, second: NDArray[np.intp] | None) -> float | None:
    if first is None or second is None:
        return None
    counts = np.bincount(first * _CLASSES + second, minlength=_CLASSES**2)
    joint = counts.reshape(_CLASSES, _CLASSES) / first.size
    left, right = joint.sum(axis=1), joint.sum(axis=0)
    both, product = joint[joint > 0], np.outer(left, right)[joint > 0]
    information = float(both @ np.log(both / product))
    cells = (np.count_nonzero(left) - 1) * (np.count_nonzero(right) - 1)
    information -= cells / (2 * first.size)  # bias of the plug-in estimate (Miller 1955)
    least = min(_entropy(left), _entropy(right))
    return float(np.clip(information / least, 0.0, 1.0)) if least > 1e-3 else None


def _entropy(shares: NDArray[np.float64]) -> float:
    used = shares[shares > 0]
    return -float(used @ np.log(used))
