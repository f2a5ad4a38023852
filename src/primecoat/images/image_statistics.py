"""What a picture's pixels tell, as plain numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from primecoat.images.block_grid import BlockGrid
from primecoat.images.chroma import ChromaStatistics
from primecoat.images.coverage import Coverage
from primecoat.images.fingerprint import Fingerprint
from primecoat.images.frozen_document import document_of, restore
from primecoat.images.independence import ChannelPair
from primecoat.images.levels import LevelStatistics
from primecoat.images.light_range import LightRange
from primecoat.images.normal_fit import NormalFit
from primecoat.images.normal_green import GreenDirection
from primecoat.images.spatial import SpatialStatistics
from primecoat.images.tone_shape import ToneShape
from primecoat.images.two_channel_normals import TwoChannelFit


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelStatistics:
    """Numbers of one channel; values of integer types are scaled to 0 to 1.

    For float types the counts, extremes, mean and deviation are over all pixels; for integer
    types all is over the sample. Extremes, mean and deviation leave out NaN and Inf.

    Parameters
    ----------
    name
        The channel's name.
    minimum, maximum, mean, deviation
        Of the values.
    distinct
        Number of different values in the sample.
    near_black, near_white
        Share of the sample up to 0.05, and from 0.95.
    at_maximum
        Number of pixels that hold the maximum.
    nan, infinite, negative, above_one, above_half
        Number of such pixels; above_half counts values above 65504, the most that half floats
        hold.
    bimodality
        Share of the variance that the best two classes explain, see
        :func:`primecoat.images.independence.bimodality`; None for a constant channel.
    skewness
        Third moment of the sample, standardised: occlusion maps lean to white and are negative,
        height maps lie about 0 (common practice, no source); None for a constant channel.
    mode_share
        Share of the fullest of 64 steps from 0 to 1.
    """

    name: str
    minimum: float
    maximum: float
    mean: float
    deviation: float
    distinct: int
    near_black: float
    near_white: float
    at_maximum: int
    nan: int = 0
    infinite: int = 0
    negative: int = 0
    above_one: int = 0
    above_half: int = 0
    bimodality: float | None = None
    skewness: float | None = None
    mode_share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AlphaStatistics:
    """Numbers of the alpha channel, over the sample.

    Parameters
    ----------
    transparent
        Share of pixels with alpha 0.
    colour_under_zero
        Share of the transparent pixels that hold a colour other than black.
    """

    transparent: float
    colour_under_zero: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ImageStatistics:
    """What the pixels of a picture's first part tell.

    Parameters
    ----------
    pixels
        Number of pixels.
    sampled
        Number of pixels in the even sample.
    exact
        Whether counts and extremes are over all pixels (float types) or over the sample.
    channels
        One entry for each channel, in file order.
    colour
        Indices of the channels that may be colour or a vector: three, one, or none.
    channel_difference
        Mean absolute difference between the three colour channels (0 for a grey picture), or None.
    correlation
        Correlation of the first channels (four at most) with one another; None where a channel
        is constant.
    alpha
        Numbers of the alpha channel, or None.
    normals
        How well the three channels fit unit normals, or None.
    green
        Which way green points, were they normals, or None.
    two_channel
        How well two of the channels fit the x and y of normals, or None.
    pairs
        Relations of the first channels (four at most) with one another.
    chroma, tone
        Colourfulness, lightness, and how evenly channels step; None where it has no three colour
        channels (tone: also where too few neighbours are coloured).
    range
        How far light reaches.
    levels
        Traces of an earlier life with 8 bits.
    neighbours
        How neighbouring pixels relate.
    blocks
        Traces of JPEG's blocks.
    coverage
        How much of the picture is empty.
    fingerprint
        What is compared with other pictures.
    seam
        How far opposite edges are from joining, see :func:`primecoat.images.tiling.measure_seam`.
    colours
        A few of its colours, see :func:`primecoat.images.colour_sample.sample_colours`.
    """

    pixels: int
    sampled: int
    exact: bool
    channels: tuple[ChannelStatistics, ...]
    colour: tuple[int, ...]
    channel_difference: float | None
    correlation: tuple[tuple[float | None, ...], ...]
    alpha: AlphaStatistics | None
    normals: NormalFit | None
    green: GreenDirection | None = None
    two_channel: TwoChannelFit | None = None
    pairs: tuple[ChannelPair, ...] = ()
    chroma: ChromaStatistics | None = None
    tone: ToneShape | None = None
    range: LightRange | None = None
    levels: LevelStatistics | None = None
    neighbours: SpatialStatistics | None = None
    blocks: BlockGrid | None = None
    coverage: Coverage | None = None
    fingerprint: Fingerprint | None = None
    seam: float | None = None
    colours: tuple[tuple[float, ...], ...] = ()

    def as_document(self) -> dict[str, Any]:
        """Return the numbers as a document of plain types, fit for JSON."""
        return document_of(self)

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> ImageStatistics:
        """Return what :meth:`as_document` was made from, also after a way through JSON."""
        return restore(cls, document)
