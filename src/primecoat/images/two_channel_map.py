"""Judge whether two channels hold a tangent-space normal map without its z.

As in :mod:`primecoat.images.normal_map`, each fact has one density for such a map and one for any
other two channels, wide-tailed, with a scale from the physics; nothing is fitted to files.
What counts as one must be integrable: all else is met in packed maps and in grey with alpha.
Bare directions (flow, hair) lie in the plane; a stream whose length varies is told by its curl,
unless it flows straight down a slope, when no pixel tells it from a normal map.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.normal_fit import Storage
from primecoat.images.normal_green import Green, GreenDirection
from primecoat.images.two_channel_normals import PlanarFit

IS_NORMAL = 4.0
"""From this strength on two channels count as a normal map by their pixels alone."""

_LEAST_AGREEMENT = 0.5
"""Least correlation of the derivatives: of a stream's x and y it is 1/3, if no direction prevails
(the second derivatives of an isotropic random field along and across; Longuet-Higgins, *The
statistical analysis of a random, moving surface*, Phil. Trans. A 249, 1957), of a surface's 1."""

_LEAST_DEVIATION = 0.01
"""Root mean square tilt, about half a degree, below which the pixels tell nothing."""

_PRIOR: dict[Storage, float] = {"stored": 0.85, "decode": 0.1, "encode": 0.02, "signed": 0.03}
"""How often maps are met in each storage: a stated guess, small beside the evidence."""

_STORED: dict[Storage, str] = {
    "stored": "",
    "decode": ", once an sRGB curve is undone",
    "encode": ", once a surplus decoding is undone",
    "signed": ", which hold -1 to 1",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoChannelJudgement:
    """Whether two channels are the x and y of normals.

    Parameters
    ----------
    strength
        Natural log of the likelihood ratio: normal map against any other two channels.
    integrable
        Whether the slopes are those of one surface, in either direction of green.
    channels
        Indices of the channels of x and y.
    storage
        What has to be done to get at x and y.
    green
        Which way y points.
    words
        The judgement in words.
    """

    strength: float
    integrable: bool
    channels: tuple[int, int]
    storage: Storage
    green: Green
    words: str

    @property
    def is_normal(self) -> bool:
        """Whether the picture counts as a normal map."""
        return self.integrable and self.strength >= IS_NORMAL


def judge_two_channels(statistics: ImageStatistics) -> TwoChannelJudgement | None:
    """Judge a picture by its statistics.

    Returns
    -------
    TwoChannelJudgement or None
        None for a picture whose further channels vary by themselves, or that is too flat.
    """
    found = statistics.two_channel
    if found is None or found.third == "varies":
        return None
    shared = _integrability(found.green) + _relation(found.together)
    scores = {fit.storage: _score(fit) + math.log(_PRIOR[fit.storage]) for fit in found.fits}
    best: Storage = max(scores, key=lambda storage: scores[storage])
    fit = found.fit(best)
    if fit is None or fit.deviation < _LEAST_DEVIATION:
        return None
    green: Green = found.green.green if found.green else "undecided"
    x, y = (statistics.channels[i].name for i in found.channels)
    return TwoChannelJudgement(
        strength=scores[best] + shared,
        integrable=found.green is not None
        and green != "undecided"
        and abs(found.green.agreement) >= _LEAST_AGREEMENT,
        channels=found.channels,
        storage=best,
        green=green,
        words=f"a tangent-space normal map of two channels: {x} and {y} are the x and y of one "
        f"surface's slopes, with green {green}, and leave room for z{_STORED[best]}",
    )


def _score(fit: PlanarFit) -> float:
    """Return the log likelihood ratio of what is known of lengths and means."""
    return _inside(1.0 - fit.inside) + _tilt(fit.tilt) + _depth(fit.depth)


def _inside(shortfall: float) -> float:
    """Score vectors longer than 1: none but a codec's in normal maps.

    Of other pairs about one in four keeps to the middle of its range; the rest fall anywhere.
    """
    normal = _half_cauchy(shortfall, 0.004)
    return math.log(normal / (0.25 * normal + 0.75))


def _tilt(tilt: float) -> float:
    """Score the mean sideways part, as :mod:`primecoat.images.normal_map` does."""
    scale = 0.05
    spot = (1.0 + tilt**2 / (2.0 * scale**2)) ** -2 / (2.0 * math.pi * scale**2)
    return math.log(spot / 0.5)


def _depth(depth: float) -> float:
    """Score the median z: surfaces face outwards, bare directions lie in the plane."""
    return math.log(min(1.0, (depth / 0.4) ** 2 + 0.01))


def _relation(together: float | None) -> float:
    """Score the correlation of x and y: near 0 in normal maps, anything else elsewhere."""
    if together is None:
        return 0.0
    normal = _half_cauchy(abs(together), 0.15)
    return math.log(normal / (0.5 * _half_cauchy(abs(together), 0.3) + 0.5))


def _integrability(green: GreenDirection | None) -> float:
    """Score how well the derivatives of the slopes agree, whichever way green points.

    They are equal in a normal map, but for rounding, codecs and noise; unrelated channels agree
    by chance, within the standard error, and a few related ones more.
    """
    if green is None:
        return 0.0
    agreement = min(1.0, abs(green.agreement))
    chance = agreement / abs(green.errors) if green.errors else 1.0
    normal = 0.65 * math.exp((agreement - 1.0) / 0.15) / 0.15 + 0.35
    other = 0.85 * _half_cauchy(agreement, max(0.08, 1.5 * chance)) + 0.15
    return math.log(normal / other)


def _half_cauchy(value: float, scale: float) -> float:
    return 2.0 / (math.pi * scale * (1.0 + (value / scale) ** 2))
