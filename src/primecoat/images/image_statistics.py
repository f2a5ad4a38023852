"""What a picture's pixels tell, as plain numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from primecoat.images.normal_fit import NormalFit, StorageFit


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
    distinct_share
        The same as a share of what was possible (codes of the type, or sampled pixels).
    near_black, near_white
        Share of the sample up to 0.05, and from 0.95.
    at_maximum
        Number of pixels that hold the maximum.
    nan, infinite, negative, above_one
        Number of such pixels.
    """

    name: str
    minimum: float
    maximum: float
    mean: float
    deviation: float
    distinct: int
    distinct_share: float
    near_black: float
    near_white: float
    at_maximum: int
    nan: int = 0
    infinite: int = 0
    negative: int = 0
    above_one: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class AlphaStatistics:
    """Numbers of the alpha channel, over the sample.

    Parameters
    ----------
    transparent, opaque
        Share of pixels with alpha 0, and with full alpha.
    colour_under_zero
        Share of the transparent pixels that hold a colour other than black.
    colour_above_alpha
        Share of the partly transparent pixels where a colour exceeds alpha, which colour that is
        multiplied by alpha (and reflects less than 1) cannot.
    """

    transparent: float
    opaque: float
    colour_under_zero: float
    colour_above_alpha: float


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

    def as_document(self) -> dict[str, Any]:
        """Return the numbers as a document of plain types, fit for JSON."""
        return asdict(self)

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> ImageStatistics:
        """Return what :meth:`as_document` was made from, also after a way through JSON."""
        alpha, normals = document["alpha"], document["normals"]
        return cls(
            pixels=document["pixels"],
            sampled=document["sampled"],
            exact=document["exact"],
            channels=tuple(ChannelStatistics(**channel) for channel in document["channels"]),
            colour=tuple(document["colour"]),
            channel_difference=document["channel_difference"],
            correlation=tuple(tuple(row) for row in document["correlation"]),
            alpha=AlphaStatistics(**alpha) if alpha else None,
            normals=_normals(normals) if normals else None,
        )


def _normals(document: Mapping[str, Any]) -> NormalFit:
    red, green, blue = document["flat_colour"]
    return NormalFit(
        fits=tuple(StorageFit(**fit) for fit in document["fits"]),
        shading=document["shading"],
        flat_colour=(red, green, blue),
        flat_share=document["flat_share"],
    )
