"""Judge whether a picture is a tangent-space normal map, and whether it went through a curve.

The judgement compares how likely the measured facts are for a normal map and for any other
picture. Each fact has one density for either case, wide-tailed, with a scale from the physics
(8-bit steps, lossy files, maps that were filtered and not made unit length again); nothing is
fitted to a set of files.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from primecoat.images.image_statistics import ImageStatistics
from primecoat.images.normal_fit import NormalFit, Storage, StorageFit

Damage = Literal["none", "srgb_encoded", "srgb_decoded", "srgb_encoded_twice", "srgb_decoded_twice"]
Kind = Literal["tangent", "object", "other"]

IS_NORMAL = 4.0
"""From this strength on a picture counts as a normal map by its pixels alone."""

_MAY_BE_NORMAL = 0.0
"""From this strength on damage is told: the pixels speak for a normal map, if not aloud."""

_NOT_EXCLUDED = -3.0
"""The same where something else, such as its slot, says that the picture is a normal map."""

_IS_DAMAGED = 3.0
"""By so much must the damaged storage beat the sound one."""

_PRIOR: dict[Storage, float] = {
    "stored": 0.82,
    "decode": 0.1,
    "encode": 0.03,
    "decode_twice": 0.01,
    "encode_twice": 0.01,
    "signed": 0.03,
}
"""How often normal maps are met in each storage: a stated guess, small beside the evidence."""

_SLOPE: dict[Storage, float] = {
    "stored": 1.0,
    "decode": 2.0,
    "encode": 0.7,
    "decode_twice": 4.0,
    "encode_twice": 1.5,
    "signed": 0.5,
}
"""By how much undoing a storage enlarges errors that came after it (lossy files, rounding): the
slope of the curve about the flat colour, whose codes are 0.74 and 1 when encoded."""

_DAMAGE: dict[Storage, Damage] = {
    "decode": "srgb_encoded",
    "encode": "srgb_decoded",
    "decode_twice": "srgb_encoded_twice",
    "encode_twice": "srgb_decoded_twice",
}

_WORDS: dict[Storage, str] = {
    "stored": "a tangent-space normal map: vectors have length 1 as stored",
    "signed": "a tangent-space normal map that holds -1 to 1",
    "decode": "a normal map that was saved through an sRGB curve: vectors have length 1, and lie "
    "evenly round the surface, only after the curve is undone",
    "encode": "a normal map that was decoded from sRGB once too often: vectors have length 1, and "
    "lie evenly round the surface, only after encoding it again",
    "decode_twice": "a normal map that was saved through an sRGB curve twice: vectors have length "
    "1, and lie evenly round the surface, only after the curve is undone twice",
    "encode_twice": "a normal map that was decoded from sRGB twice too often: vectors have length "
    "1, and lie evenly round the surface, only after encoding it twice",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NormalJudgement:
    """Whether a picture is a tangent-space normal map, and a sound one.

    Parameters
    ----------
    strength
        Natural log of the likelihood ratio: normal map against any other picture.
    damage
        ``none``, ``srgb_encoded`` (went through an sRGB curve), ``srgb_decoded`` (decoded once
        too often), or either twice. It is told where the pixels speak for a normal map at all
        (or do not exclude it, where it is known to be one); it counts where the picture is one,
        by :attr:`is_normal` or by its slot.
    damage_strength
        Natural log of the likelihood ratio: this damage against soundness, given a normal map;
        0 without damage.
    words
        The judgement in words.
    damage_told
        Whether the pixels tell soundness from damage at all; ``none`` without it means that
        nobody can say.
    kind
        ``tangent``, ``object`` (unit vectors that point all ways, as normals in object space
        do), or ``other``.
    """

    strength: float
    damage: Damage
    damage_strength: float
    words: str
    damage_told: bool = True
    kind: Kind = "other"

    @property
    def is_normal(self) -> bool:
        """Whether the picture counts as a normal map."""
        return self.strength >= IS_NORMAL


def judge_normal_map(statistics: ImageStatistics, *, known: bool = False) -> NormalJudgement | None:
    """Judge a picture by its statistics.

    Parameters
    ----------
    statistics
        Of the picture.
    known
        Whether something else than the pixels says that the picture is a normal map. Then damage
        is told unless the pixels exclude it.

    Returns
    -------
    NormalJudgement or None
        None for a picture without three colour channels: nothing can be said.
    """
    normals = statistics.normals
    if normals is None:
        return None
    surface = _surface(statistics)
    scores = {
        fit.storage: _score(fit, normals) + surface + math.log(_PRIOR[fit.storage])
        for fit in normals.fits
    }
    best: Storage = max(scores, key=lambda storage: scores[storage])
    strength = scores[best] + math.log(sum(math.exp(s - scores[best]) for s in scores.values()))
    sound = max(score for storage, score in scores.items() if storage not in _DAMAGE)
    spoilt = max(score for storage, score in scores.items() if storage in _DAMAGE)
    margin = spoilt - sound
    least = _NOT_EXCLUDED if known else _MAY_BE_NORMAL
    damaged = best in _DAMAGE and margin >= _IS_DAMAGED and strength >= least
    storage: Storage = best if damaged or best not in _DAMAGE else "stored"
    kind: Kind = "object" if _all_ways(normals) else "tangent" if strength >= IS_NORMAL else "other"
    return NormalJudgement(
        strength=strength,
        damage=_DAMAGE[storage] if damaged else "none",
        damage_strength=margin if damaged else 0.0,
        words=_words(strength, storage, normals, kind),
        damage_told=damaged or margin <= -_IS_DAMAGED,
        kind=kind,
    )


def _all_ways(normals: NormalFit) -> bool:
    """Say whether vectors have length 1 as stored without lying on one side of the surface.

    In object space normals point where the object's outside is: z is as often negative. Length 1
    in every direction is met by nothing else.
    """
    fits = [fit for fit in normals.fits if fit.storage not in _DAMAGE]
    return any(
        fit.length_error < 0.03
        and fit.depth_spread > 0.2
        and fit.length_spread < 0.25 * fit.depth_spread
        and fit.forward < 0.95
        for fit in fits
    )


def _words(strength: float, storage: Storage, normals: NormalFit, kind: Kind) -> str:
    if kind == "object":
        return "a normal map in object space: vectors have length 1 and point all ways"
    if strength < _MAY_BE_NORMAL:
        return "no tangent-space normal map: the three channels are no unit vectors"
    fit = normals.fit(storage)
    error = fit.length_error if fit else 0.0
    front = "" if strength >= IS_NORMAL else "possibly "
    return f"{front}{_WORDS[storage]} (median error of the length {error:.3f})"


def _score(fit: StorageFit, normals: NormalFit) -> float:
    """Return the log likelihood ratio of all facts under one storage."""
    flat = fit.depth_spread < 0.01 and normals.flat_share > 0.9
    return (
        _length(fit.length_error, (0.01 if flat else 0.04) * _SLOPE[fit.storage])
        + _tilt(fit.tilt, 0.02 if flat else 0.05)
        + _forward(1.0 - fit.forward)
        + _bending(fit)
        + _shading(normals)
    )


def _length(error: float, scale: float) -> float:
    """Score the length error: half-Cauchy for normals; other pictures evenly over 0 to 0.5."""
    return math.log(_half_cauchy(error, scale) / 2.0)


def _tilt(tilt: float, scale: float) -> float:
    """Score the mean sideways part: a wide-tailed spot around 0 for normals.

    Means of other pictures lie anywhere in the square from -1 to 1, twice as often near grey.
    """
    spot = (1.0 + tilt**2 / (2.0 * scale**2)) ** -2 / (2.0 * math.pi * scale**2)
    return math.log(spot / 0.5)


def _forward(shortfall: float) -> float:
    """Score vectors that point into the surface: none in normal maps.

    Of other pictures about one in seven is as blue throughout; the rest fall anywhere.
    """
    normal = _half_cauchy(shortfall, 0.02)
    return math.log(normal / (0.15 * normal + 0.85))


def _bending(fit: StorageFit) -> float:
    """Score how much of z is explained by x and y: the spread of the length against that of z.

    Nearly all of it in a sound map, some in a lossy or filtered one; in other pictures z goes its
    own way, so that the ratio lies around 1. A nearly flat map tells nothing.
    """
    if fit.depth_spread < 0.02:
        return 0.0
    ratio = fit.length_spread / fit.depth_spread
    normal = 0.6 * math.exp(-ratio / 0.1) / 0.1 + (0.4 / 1.2 if ratio < 1.2 else 0.05)
    width = 0.6
    around_one = math.exp(-0.5 * (math.log(max(ratio, 1e-6)) / width) ** 2)
    other = around_one / (max(ratio, 1e-6) * width * math.sqrt(2.0 * math.pi)) + 0.05
    return math.log(normal / other)


def _shading(normals: NormalFit) -> float:
    """Score the correlation of z with x and y: near 0 in normal maps, near 1 under shading.

    Lossy files that keep colour at half resolution push it up in normal maps too: where the
    detail is as fine as a pixel, all that is left of it moves all channels by the same amount.
    Light would scale them. That blue moves no more than red and green do, though it is far
    lighter than they are, is then the codec's doing, and says nothing of shading.
    """
    if normals.shading is None:
        return 0.0
    normal = 1.0 / (math.pi * 0.3 * (1.0 + (normals.shading / 0.3) ** 2))
    other = 0.15 + (3.5 if normals.shading > 0.8 else 0.0)
    score = math.log(normal / other)
    return max(score, 0.0) if _codec_moves_all(normals) else score


def _surface(statistics: ImageStatistics) -> float:
    """Score whether x and y are slopes of one surface: no other two channels are, but by chance.

    Channels that move together share the directions of their edges too and are left out.
    """
    green = statistics.green
    if green is None or green.green == "undecided":
        return 0.0
    known, (red, green_at, _) = statistics.correlation, statistics.colour
    red_green = known[red][green_at] if max(red, green_at) < len(known) else None
    if red_green is None or abs(red_green) > 0.8:
        return 0.0
    return min(3.0, max(0.0, -math.log(_half_cauchy(abs(green.agreement), 0.08))))


def _codec_moves_all(normals: NormalFit) -> bool:
    step = normals.blue_step
    if step is None or normals.blue_ratio < 1.1:
        return False
    return abs(math.log(max(step, 1e-3))) < min(0.12, 0.3 * math.log(normals.blue_ratio))


def _half_cauchy(value: float, scale: float) -> float:
    return 2.0 / (math.pi * scale * (1.0 + (value / scale) ** 2))
