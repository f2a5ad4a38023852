"""Exposure, contrast, saturation and channel numbers, and the one CDL that they come to.

All of them act on ACEScct (S-2016-001): there a stop is an offset of 1/17.52, and contrast is a
slope about mid-grey. So an ASC CDL (v1.2) says them all; its saturation weighs channels by the
luma of Rec.709, whatever the space. Numbers above 1 are kept (no clamp).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio.transforms import run_cdl
from primecoat.colour.primaries import Triple

SPACE: Final = "ACEScct"
"""Space that the numbers act on: its name in the ACES configs."""

STOP: Final = 1 / 17.52
"""One stop in ACEScct. Source: S-2016-001, formula of the logarithmic piece."""

GREY: Final = (log2(0.18) + 9.72) / 17.52
"""ACEScct of mid-grey, 0.18. Source: the same formula."""

LUMA: Final = (0.2126, 0.7152, 0.0722)
"""Weights of saturation. Source: ASC CDL v1.2; Recommendation ITU-R BT.709."""

_ONES: Final = (1.0, 1.0, 1.0)
_ZEROS: Final = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjustment:
    """What is done to a render before its view, in this order.

    Parameters
    ----------
    stops
        Exposure.
    contrast
        Slope in ACEScct about mid-grey.
    slope, offset, power
        For each channel: slope about mid-grey, offset, and power of the whole. The geometric mean
        of the slopes is 1 and the mean of the offsets 0: what they have in common is contrast and
        exposure.
    saturation
        Distance from luma, last.
    """

    stops: float = 0.0
    contrast: float = 1.0
    saturation: float = 1.0
    slope: Triple = _ONES
    offset: Triple = _ZEROS
    power: Triple = _ONES

    @property
    def at_grey(self) -> tuple[float, float]:
        """Stops and contrast that mid-grey gets in all: those above, but for powers.

        Contrast is the slope in ACEScct at mid-grey; of channels that differ, both are means.
        """
        if self.power == _ONES:
            return self.stops, self.contrast
        slope, offset, power = (
            np.array(part) for part in (self.cdl.slope, self.cdl.offset, self.cdl.power)
        )
        straight = np.maximum(slope * GREY + offset, 1e-6)
        steep = slope * power * straight ** (power - 1.0)
        shift = (straight**power - GREY) / steep / STOP
        return float(shift.mean()), float(steep.mean())

    @property
    def cdl(self) -> CdlNumbers:
        """The numbers of the CDL that does the same, to the seven digits that files hold."""
        lift = self.contrast * self.stops * STOP
        slope = tuple(self.contrast * own for own in self.slope)
        offset = tuple(
            lift * own + GREY * (1.0 - self.contrast * own) + shift
            for own, shift in zip(self.slope, self.offset, strict=True)
        )
        return CdlNumbers(
            slope=_rounded(slope),
            offset=_rounded(offset),
            power=_rounded(self.power),
            saturation=round(self.saturation, 7),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CdlNumbers:
    """The ten numbers of an ASC CDL."""

    slope: Triple = _ONES
    offset: Triple = _ZEROS
    power: Triple = _ONES
    saturation: float = 1.0


def _rounded(values: tuple[float, ...]) -> Triple:
    red, green, blue = (round(value, 7) for value in values)
    return red, green, blue


def adjusted(
    values: NDArray[np.floating], adjustment: Adjustment, config: str
) -> NDArray[np.floating]:
    """Return ACEScct numbers, shape (..., 3), after an adjustment; by OpenColorIO, unoptimised.

    Examples
    --------
    >>> from primecoat.colour.ocio import DEFAULT_CONFIG
    >>> grey = np.full((1, 3), GREY, np.float32)
    >>> one_stop = adjusted(grey, Adjustment(stops=1.0), DEFAULT_CONFIG)
    >>> round(float(one_stop[0, 0] - grey[0, 0]) * 17.52, 4)
    1.0
    """
    if adjustment == Adjustment():
        return values
    cdl = adjustment.cdl
    run = run_cdl(cdl.slope, cdl.offset, cdl.power, cdl.saturation, clamp=False, config=config)
    return run(values)
