"""What the pixel model looks at: measured facts of a picture as plain, bounded numbers.

Three layouts are told apart, since a fact means something else in each: one channel, three equal
channels (a grey picture), three that differ.
"""

from __future__ import annotations

import math
from typing import Literal

from primecoat.images.header import ImageHeader
from primecoat.images.image_statistics import ChannelStatistics, ImageStatistics
from primecoat.images.normal_map import judge_normal_map

Layout = Literal["one", "grey", "colour"]

LAYOUTS: dict[Layout, str] = {
    "one": "one channel",
    "grey": "three equal channels",
    "colour": "three channels that differ",
}
"""The layouts in words."""

WORDS: dict[str, tuple[str, str]] = {
    "float": ("is stored as floats", "is stored as whole numbers"),
    "deep": ("has 16 bits", "has not 16 bits"),
    "channels": ("has more than one channel", "has one channel"),
    "negative": ("holds negative values", "holds no negative values"),
    "stops": ("has a wide range", "has a narrow range"),
    "highest": ("reaches above 1", "stays within 1"),
    "spread": ("is rich in contrast", "is poor in contrast"),
    "mean": ("is light on the whole", "is dark on the whole"),
    "levels": ("uses many levels", "uses few levels"),
    "bimodality": ("falls into two classes", "has no two classes"),
    "black": ("is black in large parts", "is hardly black anywhere"),
    "white": ("is white in large parts", "is hardly white anywhere"),
    "skew": ("leans to the dark", "leans to the light"),
    "mode": ("has one value in most places", "has no value that prevails"),
    "kurtosis": ("changes in rare large steps", "changes in even steps"),
    "growth": ("changes slowly", "changes from pixel to pixel"),
    "flat": ("has flat areas", "has no flat areas"),
    "near": ("has neighbours that are alike", "has neighbours that differ"),
    "commonest": ("has one colour in most places", "has no colour that prevails"),
    "gaps": ("skips levels", "skips no levels"),
    "transparent": ("is transparent in parts", "is nowhere transparent"),
    "seam": ("does not join at its edges", "joins at its edges"),
    "tinge": ("is not quite grey", "is exactly grey"),
    "normal": ("fits vectors of length 1", "does not fit vectors of length 1"),
    "shared_least": ("has channels that follow from one another", "has unrelated channels"),
    "shared_most": ("has channels that follow from one another", "has unrelated channels"),
    "apart": ("has channels of unlike range", "has channels of like range"),
    "together_least": ("has channels that move together", "has channels that move apart"),
    "together_most": ("has channels that move together", "has channels that move apart"),
    "constant": ("has constant channels", "has no constant channel"),
    "detail": ("has detail that its channels share", "has detail of each channel's own"),
    "chroma": ("is colourful", "is hardly coloured"),
    "saturated": ("is saturated in large parts", "is hardly saturated anywhere"),
    "hues": ("has many hues", "has one hue"),
    "greyish": ("is grey in large parts", "is hardly grey anywhere"),
    "curl": ("has slopes of one surface", "has no slopes of one surface"),
    "planar": ("fits two parts of a direction", "does not fit two parts of a direction"),
    "blue": ("is high in blue", "is low in blue"),
}
"""For each fact, what it says of a picture where it is high, and where it is low."""

_GREY = 1.5 / 255.0
"""Mean channel difference up to which a picture counts as grey: lossy files stay below."""

_GREY_SHARE = 0.98

CONSTANT = 2e-3
"""Deviation up to which a channel is one flat value."""


def layout_of(statistics: ImageStatistics) -> Layout:
    """Return the layout of a picture."""
    if len(statistics.colour) != 3:
        return "one"
    difference, chroma = statistics.channel_difference, statistics.chroma
    near = difference is not None and difference <= _GREY
    return "grey" if near and chroma is not None and chroma.grey > _GREY_SHARE else "colour"


def shown_channels(statistics: ImageStatistics) -> tuple[ChannelStatistics, ...]:
    """Return the channels that may be colour or a vector, else the first one."""
    return tuple(statistics.channels[i] for i in statistics.colour) or statistics.channels[:1]


def facts_of(header: ImageHeader, statistics: ImageStatistics) -> dict[str, float]:
    """Return the facts by the names of :data:`WORDS`; one that is missing has its neutral value.

    Parameters
    ----------
    header, statistics
        Of the same picture, with at least one channel.
    """
    layout = layout_of(statistics)
    facts = _common(header, statistics)
    if layout == "grey":
        difference = statistics.channel_difference or 0.0
        facts["tinge"] = _within(math.log10(1e-5 + difference) + 5.0, 0.0, 3.0)
    elif layout == "colour":
        facts |= _of_three(statistics)
    return facts


def _common(header: ImageHeader, statistics: ImageStatistics) -> dict[str, float]:
    channels = shown_channels(statistics)
    main = channels[len(channels) // 2]  # green of three: the one nearest to lightness
    near, levels, light = statistics.neighbours, statistics.levels, statistics.range
    negative = max(c.negative for c in channels) / max(1, statistics.pixels)
    return {
        "float": float(not header.integer),
        "deep": float(header.pixel_type == "uint16"),
        "channels": float(len(header.channels) - (header.alpha != "none") > 1),
        "negative": math.log10(1e-6 + negative) + 6.0,
        "stops": _within(light.stops, 0.0, 20.0) if light else 0.0,
        "highest": _within(math.log2(max(1.0, light.highest)), 0.0, 17.0) if light else 0.0,
        "spread": _within(main.deviation, 0.0, 1.0),
        "mean": _within(main.mean, -1.0, 2.0),
        "levels": _within(math.log2(max(1, min(c.distinct for c in channels))), 0.0, 8.0),
        "bimodality": max(c.bimodality or 0.0 for c in channels),
        "black": main.near_black,
        "white": main.near_white,
        "skew": _within(main.skewness or 0.0, -4.0, 4.0),
        "mode": main.mode_share,
        "kurtosis": _within(math.log(near.step_kurtosis), 0.0, 8.0)
        if near and near.step_kurtosis
        else 0.0,
        "growth": _within(near.step_growth, -0.2, 2.2)
        if near and near.step_growth is not None
        else 1.0,
        "flat": near.flat if near else 0.0,
        "near": near.autocorrelation[0] if near and near.autocorrelation else 1.0,
        "commonest": statistics.coverage.commonest if statistics.coverage else 0.0,
        "gaps": levels.gaps / max(1, levels.tested) if levels else 0.0,
        "transparent": statistics.alpha.transparent if statistics.alpha else -0.1,
        "seam": 0.5 if statistics.seam is None else statistics.seam,
    }


def _of_three(statistics: ImageStatistics) -> dict[str, float]:
    colour = statistics.colour
    channels = [statistics.channels[i] for i in colour]
    normal, chroma, near = judge_normal_map(statistics), statistics.chroma, statistics.neighbours
    pairs = [p for p in statistics.pairs if p.first in colour and p.second in colour]
    shared = [p.information for p in pairs if p.information is not None]
    rows = [row for row in colour if row < len(statistics.correlation)]
    moving = [statistics.correlation[a][b] for a in rows for b in rows if a < b]
    together = [m for m in moving if m is not None]
    two = statistics.two_channel.fit("stored") if statistics.two_channel else None
    return {
        "normal": _within(normal.strength, -12.0, 12.0) if normal else 0.0,
        "shared_least": min(shared, default=0.0),
        "shared_most": max(shared, default=0.0),
        "apart": max((p.histogram_distance for p in pairs), default=0.0),
        "together_least": min(together, default=0.0),
        "together_most": max(together, default=0.0),
        "constant": float(sum(c.deviation < CONSTANT for c in channels)),
        "detail": near.detail_together if near and near.detail_together is not None else 0.0,
        "chroma": chroma.mean_chroma if chroma else 0.0,
        "saturated": chroma.saturated if chroma else 0.0,
        "hues": chroma.hue_spread if chroma else 0.0,
        "greyish": chroma.grey if chroma else 0.0,
        "curl": _within(abs(statistics.green.errors), 0.0, 30.0) if statistics.green else 0.0,
        "planar": two.inside - two.tilt if two else -1.0,
        "blue": _within(channels[2].mean, -1.0, 2.0),
    }


def _within(value: float, low: float, high: float) -> float:
    if math.isnan(value):
        return low
    return low if value < low else high if value > high else value
