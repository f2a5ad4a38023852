"""The figures that two renders come to."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from primecoat.renders.exposure import Stops
from primecoat.renders.histogram import Spread
from primecoat.renders.pairing import Pair, Through


@dataclass(frozen=True, slots=True, kw_only=True)
class Channel:
    """How one channel differs.

    Parameters
    ----------
    name
        ``R``, ``G``, ``B`` or ``A``.
    mean_a, mean_b
        Means of each picture.
    absolute
        Spread of the absolute difference.
    rms
        Root of the mean square of the difference.
    stops
        Median exposure difference of this channel; None where it is not light.
    """

    name: str
    mean_a: float
    mean_b: float
    absolute: Spread
    rms: float
    stops: float | None = None

    @property
    def mean_difference(self) -> float:
        """Mean of B minus A."""
        return self.mean_b - self.mean_a


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """Shares of the pixels of one picture, 0 to 1.

    Parameters
    ----------
    not_finite
        With NaN or infinity in a channel; they are left out of all figures of difference.
    stored_at_limit
        With a channel at the greatest number that the file's type holds (never for float).
    negative
        With a channel below 0 in the picture's own space: outside its gamut.
    at_white, at_black
        With a display code at 1 or beyond, at 0 or below.
    outside_screen
        With a display code below 0 or above 1: outside what the display shows.
    outside
        Outside the gamut of named primaries, of a sample of the pixels.
    """

    not_finite: float
    stored_at_limit: float
    negative: float
    at_white: float
    at_black: float
    outside_screen: float
    outside: dict[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How two pictures differ.

    Parameters
    ----------
    pixels
        How many pixels were compared.
    not_finite_differs
        How many are finite in one of the two only.
    exposure
        Stops by luminance; positive: B is brighter. Of light in the scene if both are
        scene-referred, else of light on the display.
    scene
        Channels of scene-linear numbers; empty unless both are scene-referred.
    codes
        Channels of display codes, 0 to 1.
    alpha
        The alpha channel, if both have one.
    ciede2000
        Spread of the colour difference on the display; white is 100 cd/m².
    delta_e_itp
        The same by ΔE ITP; None for a display that is not HDR.
    a, b
        Shares of the pixels of each.
    """

    pixels: int
    not_finite_differs: int
    exposure: Stops
    scene: tuple[Channel, ...]
    codes: tuple[Channel, ...]
    alpha: Channel | None
    ciede2000: Spread
    delta_e_itp: Spread | None
    a: Side
    b: Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """How two renders of the same scene with different seeds differ: the floor of a comparison.

    Parameters
    ----------
    path
        The second seed of A.
    figures
        A against it.
    share_above
        Share of pixels of A against B that differ by more than 99 % of the pixels do by noise.
    """

    path: str
    figures: Figures
    share_above: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What a comparison found.

    Parameters
    ----------
    a, b
        Names as they were given; a pattern for a sequence.
    pair
        The first two frames, and how they are seen.
    figures
        Over all frames.
    frames
        Number and figures of each frame of a sequence.
    aligned
        Stops that B was brought down by before it was looked at; None if it was left alone.
    noise
        The noise floor, if a second seed was given.
    pictures
        Pictures written.
    through
        What A and what B went through: as this comparison shows them or, of display-referred
        ones, as the manifest of their handover tells; None if nobody tells.
    """

    a: str
    b: str
    pair: Pair
    figures: Figures
    frames: tuple[tuple[int, Figures], ...] = ()
    aligned: float | None = None
    noise: Noise | None = None
    pictures: tuple[Path, ...] = field(default=())
    through: tuple[Through | None, Through | None] = (None, None)

    @property
    def same_view(self) -> bool | None:
        """Whether both are seen in the same way; None if nobody tells."""
        a, b = self.through
        return None if a is None or b is None else a == b

    @property
    def exposure_stops(self) -> float:
        """Stops; positive: B is brighter, before any alignment."""
        return (self.aligned or 0.0) + self.figures.exposure.median
