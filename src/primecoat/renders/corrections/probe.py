"""What the numbers of a correction tell: is it a gain, does it clip, can it be taken back.

Light is sent through: greys, the six hues and other colours, from eight stops below mid-grey to
:data:`WHITE`. Exposure and white balance are what light itself does when a lamp is turned up or
given a filter, so they keep two rules, which no tone curve keeps: k times the light gives k times
the outcome (homogeneity), and two lights together give the sum of their outcomes (additivity).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from primecoat.colour.primaries import Triple
from primecoat.colour.products import Residual, change_matrix, reflectances, residual_between
from primecoat.renders.corrections.light import GREY, Light
from primecoat.renders.corrections.model import Floats

TOLERANCE: Final = 0.002
"""Greatest relative deviation of a gain: 0.003 stops. Four steps of a half float (2^-11), in which
tables are often stored; a fifth of the 1 % that an eye can tell in luminance (Weber's share)."""

NOTHING: Final = 2e-6
"""Light that counts as none: files of tables hold six decimals, and 3e-5 is the lowest light
probed in a channel (a thousandth of the least grey that an 8-bit code tells from black)."""

WHITE: Final = 128.0
"""Light up to which a gain must hold: where the ACES 2.0 view for 100 nits reaches the display's
white (measured: 128; the ACES 1.0 view: 16.3). What is brighter shows as white in either case."""

DARKEST: Final = -8.0
"""Stops from mid-grey to the darkest light probed; views show about black there."""

_BRIGHTEST: Final = 65504.0
"""Clipping is looked for up to here, the greatest half float."""

_HUES = [[r, g, b] for r in (0.2, 1.0) for g in (0.2, 1.0) for b in (0.2, 1.0) if r + g + b > 0.7]
_OTHERS = np.random.default_rng(0).uniform(0.15, 1.0, (8, 3))
_COLOURS: Final[Floats] = np.array([*_HUES, *(_OTHERS / _OTHERS.max(axis=1, keepdims=True))])
"""Grey, six hues and eight others (seed 0), the greatest channel 1."""

_MANY: Final = 4000
"""Further colours, drawn at random: of a change that takes in one in a thousand none would be seen
with a chance of 2 %."""

CURVE_STOPS: Final[Floats] = np.arange(DARKEST, 10.01, 0.25)
"""Stops from mid-grey at which the probe's curve is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """What was found.

    Parameters
    ----------
    space
        Color Interop ID of the linear space that all this is said in.
    floor
        Light below which its space is not logarithmic, where nothing is judged; 0 if it never is.
    homogeneity, additivity, everywhere
        Greatest relative deviations from a gain: at k times the light, at the sum of two lights,
        and of any colour from what the nearest matrix makes of it.
    black
        What becomes of no light.
    clips_above
        Least grey above which no more light gets through in some channel, below 65504; or None.
    clips_below
        Whether numbers below 0 are cut off.
    reaches
        Least and greatest number that greys from 0 to 65504 become.
    invertible
        Whether greys keep their order in every channel, and no two colours become one.
    finite
        Whether all numbers that came out are finite.
    matrix
        Rows of the 3 by 3 matrix that comes nearest, for column vectors.
    mixing
        How much channels mix: greatest number off that matrix's diagonal, as a share of the
        greatest on it.
    inside
        Greatest light up to which it is homogeneous and additive though it is not further up, and
        the matrix there; None if it is nowhere, or all over.
    same_numbers
        What is left over if the same numbers are used in the primaries of the new space.
    curve
        For greys of :data:`CURVE_STOPS`: red, green and blue that come out.
    """

    space: str
    floor: float
    homogeneity: float
    additivity: float
    everywhere: float
    black: Triple
    clips_above: float | None
    clips_below: bool
    reaches: tuple[float, float]
    invertible: bool
    finite: bool
    matrix: Floats
    mixing: float
    inside: tuple[float, Floats] | None
    same_numbers: Residual
    curve: tuple[Triple, ...]

    @property
    def linear(self) -> bool:
        """Whether it is a gain up to :data:`WHITE`, of three numbers or nine."""
        clips = self.clips_above is not None and 0.0 < self.clips_above < 0.999 * WHITE
        return self.finite and not clips and self.deviation <= TOLERANCE

    @property
    def deviation(self) -> float:
        """Greatest of all relative deviations from a gain."""
        return max(self.homogeneity, self.additivity, self.everywhere)


def probe(light: Light, target: str) -> Probe:
    """Probe what a correction does to light.

    Parameters
    ----------
    light
        The correction on light.
    target
        Color Interop ID of the linear space that the scene moves to.
    """
    with np.errstate(all="ignore"):
        return _probe(light, target)


def _probe(light: Light, target: str) -> Probe:
    levels = np.geomspace(GREY * 2.0**DARKEST, WHITE, 40)
    before = levels[:, None, None] * _COLOURS
    after = light(before.reshape(-1, 3)).reshape(before.shape)
    ramp = np.concatenate([[0.0], np.geomspace(GREY * 2.0**DARKEST, _BRIGHTEST, 400)])
    greys = light(np.repeat(ramp[:, None], 3, axis=1))
    matrix = _matrix(light, before.reshape(-1, 3), after.reshape(-1, 3))
    homogeneity = _homogeneity(light, before, after)
    additivity = _additivity(light, WHITE)
    clips = _clips_above(light, ramp, greys)
    everywhere = _everywhere(light, matrix, WHITE)
    straight = max(homogeneity, additivity, everywhere) <= TOLERANCE
    judged = greys[(ramp > max(light.floor, 0.0)) & (ramp <= WHITE)]
    rising = bool((np.diff(judged, axis=0) > 0).all())
    below = light(np.full((1, 3), -GREY))
    curve = light(np.repeat(GREY * np.exp2(CURVE_STOPS)[:, None], 3, axis=1))
    return Probe(
        space=light.space,
        floor=light.floor,
        homogeneity=homogeneity,
        additivity=additivity,
        everywhere=everywhere,
        black=_triple(greys[0]),
        clips_above=clips,
        clips_below=bool((np.abs(below) <= NOTHING).all() and np.abs(matrix).max() > TOLERANCE),
        reaches=(float(greys.min()), float(greys.max())),
        invertible=rising and (not straight or float(np.linalg.cond(matrix)) < 1e4),
        finite=bool(np.isfinite(after).all() and np.isfinite(greys).all()),
        matrix=matrix,
        mixing=mixing(matrix),
        inside=None if straight or clips is None else _inside(light, clips),
        same_numbers=_same_numbers(light, target),
        curve=tuple(_triple(row) for row in curve),
    )


def mixing(matrix: Floats) -> float:
    """Return the greatest number off a diagonal as a share of the greatest on it.

    Examples
    --------
    >>> mixing(np.array([[2.0, 0.1, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]))
    0.05
    """
    diagonal = np.abs(np.diagonal(matrix)).max()
    off = np.abs(matrix - np.diag(np.diagonal(matrix))).max()
    return float(off / diagonal) if diagonal > 0 else (float("inf") if off > 0 else 0.0)


def _homogeneity(light: Light, before: Floats, after: Floats) -> float:
    """Return the greatest deviation from the outcome near mid-grey, times the light."""
    levels = before[:, 0, 0]
    middle = int(np.abs(levels - min(GREY, levels[-1] / 4)).argmin())
    sound = light.sound(before.reshape(-1, 3), after.reshape(-1, 3)).reshape(before.shape[:2])
    # a colour that lies in a toe near mid-grey is held against its first level above
    first = middle + sound[middle:].argmax(axis=0)
    factor = levels[:, None] / levels[first]
    wanted = after[first, np.arange(before.shape[1])] * factor[..., None]
    return _deviation(after[sound], wanted[sound])


def _additivity(light: Light, most: float) -> float:
    """Return the greatest deviation of the outcome of two lights from the sum of outcomes."""
    random = np.random.default_rng(1)
    one, other = (
        np.exp2(random.uniform(np.log2(GREY / 16), np.log2(most / 2), (400, 1)))
        * _COLOURS[random.integers(0, len(_COLOURS), 400)]
        for _ in range(2)
    )
    both = one + other
    found = [light(values) for values in (one, other, both)]
    sound = np.logical_and.reduce(
        [light.sound(*pair) for pair in zip((one, other, both), found, strict=True)]
    )
    wanted = found[0] + found[1]
    sound &= light.carried(both) & light.carried(wanted)
    return _deviation(found[2][sound], wanted[sound])


def _everywhere(light: Light, matrix: Floats, most: float) -> float:
    """Return the greatest deviation of many colours, saturated ones too, from a matrix.

    A change of one region of colours alone shows here, and so does a gamut compression.
    """
    random = np.random.default_rng(2)
    colours = random.random((_MANY, 3)) ** 2
    colours /= colours.max(axis=1, keepdims=True)
    stops = random.uniform(DARKEST, np.log2(most / GREY), (_MANY, 1))
    before = GREY * np.exp2(stops) * colours
    after = light(before)
    wanted = before @ matrix.T
    sound = light.sound(before, after) & light.carried(before) & light.carried(wanted)
    return _deviation(after[sound], wanted[sound])


def _deviation(found: Floats, wanted: Floats) -> float:
    if not len(found) or not (np.isfinite(found).all() and np.isfinite(wanted).all()):
        return float("inf")
    off = np.maximum(np.abs(found - wanted).max(axis=-1) - NOTHING, 0.0)
    against = np.abs(wanted).max(axis=-1)
    return float(
        np.divide(off, against, out=np.where(off > 0, np.inf, 0.0), where=against > 0).max()
    )


def _matrix(light: Light, before: Floats, after: Floats) -> Floats:
    """Return the matrix that comes nearest by relative errors."""
    use = light.sound(before, after) & np.isfinite(after).all(axis=1)
    if use.sum() < 3:
        return np.full((3, 3), np.nan)
    weight = 1.0 / before[use].max(axis=1, keepdims=True)
    fitted = np.linalg.lstsq(before[use] * weight, after[use] * weight, rcond=None)[0]
    return np.asarray(fitted.T, dtype=np.float64)


def _clips_above(light: Light, ramp: Floats, greys: Floats) -> float | None:
    """Return the least light of the level end of a channel."""
    level = np.abs(greys - greys[-1]) <= 1e-5 * np.abs(greys[-1]) + NOTHING
    starts = [0 if end.all() else len(end) - int(np.argmin(end[::-1])) for end in level.T]
    channel = int(np.argmin(starts))
    start = starts[channel]
    if start == 0:
        return 0.0
    if start >= len(ramp) - 2:
        return None
    for _ in range(2):  # look closer, twice
        ramp = np.linspace(ramp[start - 1], ramp[start], 64)
        closer = light(np.repeat(ramp[:, None], 3, axis=1))[:, channel]
        last = greys[-1, channel]
        level_here = np.abs(closer - last) <= 1e-5 * np.abs(last) + NOTHING
        start = max(int(np.argmax(level_here)), 1) if level_here.any() else len(ramp) - 1
    return float(ramp[start])


def _inside(light: Light, clips: float) -> tuple[float, Floats] | None:
    """Return up to which light it is a gain below its clip, and the matrix there."""
    most = 0.98 * clips
    if most < GREY / 4:
        return None
    levels = np.geomspace(max(most / 2.0**10, GREY * 2.0**DARKEST), most, 30)
    before = levels[:, None, None] * _COLOURS
    after = light(before.reshape(-1, 3)).reshape(before.shape)
    matrix = _matrix(light, before.reshape(-1, 3), after.reshape(-1, 3))
    homogeneity = _homogeneity(light, before, after)
    worst = max(homogeneity, _additivity(light, most), _everywhere(light, matrix, most))
    return (clips, matrix) if worst <= TOLERANCE else None


def _same_numbers(light: Light, target: str) -> Residual:
    """Return how far the same numbers in the new primaries are from the same light."""
    change = change_matrix(light.space, target, light.config)
    colours = reflectances()
    return residual_between(light(colours @ change.T), light(colours) @ change.T)


def _triple(row: Floats) -> Triple:
    red, green, blue = (float(value) for value in row)
    return red, green, blue
