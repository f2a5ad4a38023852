"""Clue of a tone curve baked into a colour picture: its channels step unevenly under one light.

Where only the light on a surface changes, its channels change by one factor: neighbours differ by
the same step in the logarithm of each channel (Finlayson, Drew and Funt, *Color constancy:
generalized diagonal transforms suffice*, JOSA A 11(11), 1994, treat when that holds). sRGB and
other encodings are undone first, and a clip is left out. A film-like view works on each channel by
itself, and its curve is the flatter the lighter it gets (ISO 14524 measures such curves; Hunt, *The
Reproduction of Colour*, 6th ed., chapter 6), so that the weakest channel of a coloured surface
takes greater steps than the strongest. A curve on luminance alone keeps the ratios: it leaves no
such trace. Pigment of uneven strength does leave one, so this is a clue only; so do codecs that
keep fine detail in luma alone (ITU-T T.871: each channel holds luma with the factor 1), which shows
in detail of chroma that is less, against luma's, the finer it is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.images.curves import srgb_to_light

Floats = NDArray[np.float32]

_LEAST_PAIRS = 400
_LEAST_HUES = 2
"""Strongest channels that must show it: one pigment of uneven strength shows it in one hue, a
curve in all."""

_LEAST_STEP = 0.01
"""Root mean square step, in stops, from which steps are more than noise."""

_APART = 0.7
"""Stops that strongest and weakest channel must lie apart: less shows no difference of slopes."""

_STRONGEST, _WEAKEST = 0.96, 0.08
"""Codes (0 to 1) that the strongest channel stays below, where it is not cut off, and that the
weakest stays above, where its steps are more than rounding."""

_EDGE = 0.6
"""Steps above so many stops are edges between things, not light on one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneShape:
    """Steps of the weakest against the strongest channel, in stops, were the picture sRGB-encoded.

    Parameters
    ----------
    uneven
        Slope of the regression of the weakest channel's steps on the strongest's: 1 for light on
        coloured things, above 1 under a tone curve. Noise in either only takes from it. Where red
        is strongest, where green is, and where blue is are taken apart; the least counts.
    alike
        Their correlation, -1 to 1: near 1 where light is all that changes.
    chroma_kept
        Detail of chroma against that of luma between neighbours, over the same in means of 4 x 4
        pixels: near 1, or far below it where a codec kept less of chroma.
    """

    uneven: float
    alike: float
    chroma_kept: float


def measure_tone(windows: Floats) -> ToneShape | None:
    """Measure windows of three colour channels.

    Parameters
    ----------
    windows
        Shape (windows, 3, height, width): finite, integers scaled to 0 to 1.

    Returns
    -------
    ToneShape or None
        None where too few neighbours are coloured, and neither too light nor too dark, or all of
        them have the same channel strongest.

    Examples
    --------
    >>> light = np.linspace(0.2, 0.8, 64) ** np.linspace(0.7, 1.3, 64)[:, None]
    >>> under = np.stack([light, 0.3 * light, 0.2 * light])
    >>> under = np.stack([under, under[::-1]])
    >>> encoded = np.where(under > 0.0031308, 1.055 * under ** (1 / 2.4) - 0.055, 12.92 * under)
    >>> round(measure_tone(encoded.astype(np.float32)).uneven, 3)
    1.0
    """
    if windows.shape[1] != 3 or min(windows.shape[2:]) < 16:
        return None
    light = srgb_to_light(windows.clip(1e-3, 1.0)).astype(np.float32)
    stops = np.log2(_halved(light))
    lightest, darkest = np.log2(srgb_to_light(np.array([_STRONGEST, _WEAKEST])))
    found = [_steps(part, lightest, darkest) for part in (stops, stops.swapaxes(2, 3))]
    strong, weak, hue = (np.concatenate([pair[at] for pair in found]) for at in range(3))
    told = [slope for one in range(3) if (slope := _slope(strong[hue == one], weak[hue == one]))]
    if len(told) < _LEAST_HUES:
        return None
    return ToneShape(
        uneven=min(uneven for uneven, _ in told),
        alike=min(alike for _, alike in told),
        chroma_kept=_chroma_kept(windows),
    )


def _slope(strong: Floats, weak: Floats) -> tuple[float, float] | None:
    """Return the slope of weak steps on strong ones and their correlation; None if too few."""
    if strong.size < _LEAST_PAIRS:  # a quarter of the pixels, both ways
        return None
    strong_energy, weak_energy = float(strong @ strong), float(weak @ weak)
    if min(strong_energy, weak_energy) < _LEAST_STEP**2 * strong.size:
        return None
    shared = float(strong @ weak)
    return shared / strong_energy, shared / float(np.sqrt(strong_energy * weak_energy))


def _chroma_kept(windows: Floats) -> float:
    half = _halved(windows)
    coarse = max(1e-9, _chroma_detail(_halved(half)))
    return min(_chroma_detail(windows), _chroma_detail(half)) / coarse


def _chroma_detail(windows: Floats) -> float:
    """Return the energy of chroma's second differences against luma's, as a ratio of sizes."""
    mean = windows.mean(axis=1)
    apart = windows[:, 0] - mean, windows[:, 2] - mean
    return float(np.sqrt(sum(map(_detail, apart)) / max(1e-12, _detail(mean))))


def _detail(field: Floats) -> float:
    along = field[:, :, 2:] - 2 * field[:, :, 1:-1] + field[:, :, :-2]
    down = field[:, 2:] - 2 * field[:, 1:-1] + field[:, :-2]
    return float(np.mean(along * along) + np.mean(down * down))


def _halved(light: Floats) -> Floats:
    """Average squares of four pixels: noise and chroma of half resolution count for less."""
    rows, columns = light.shape[2] // 2 * 2, light.shape[3] // 2 * 2
    even = light[:, :, :rows, :columns]
    total = even[:, :, ::2, ::2] + even[:, :, ::2, 1::2] + even[:, :, 1::2, ::2]
    return np.asarray((total + even[:, :, 1::2, 1::2]) / 4, dtype=np.float32)


def _steps(
    stops: Floats, lightest: float, darkest: float
) -> tuple[Floats, Floats, NDArray[np.intp]]:
    """Return steps along the rows of the strongest and the weakest channel, and which is strong."""
    steps, level = np.diff(stops, axis=3), (stops[..., 1:] + stops[..., :-1]) / 2
    high, low = level.max(axis=1), level.min(axis=1)
    hue = level.argmax(axis=1)
    strong = np.take_along_axis(steps, hue[:, None], 1)[:, 0]
    weak = np.take_along_axis(steps, level.argmin(axis=1)[:, None], 1)[:, 0]
    used = (high < lightest) & (low > darkest) & (high - low > _APART)
    used &= (np.abs(strong) < _EDGE) & (np.abs(weak) < _EDGE)
    return strong[used].astype(np.float32), weak[used].astype(np.float32), hue[used]
