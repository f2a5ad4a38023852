"""What someone wants to see of a picture."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from primecoat.colour.ids import DATA, SPACES, UNKNOWN
from primecoat.errors import UseError
from primecoat.report.shown.frame import Box
from primecoat.report.shown.lit import Green
from primecoat.report.shown.seen import Viewing

Shape = Literal["view", "plain", "lit", "stops"]
Channels = Literal["rgb", "r", "g", "b", "a", "grey"]

QUICK_PIXELS = 120_000
"""Most pixels of a picture that is wanted quickly, while something is dragged.

Measured: they take some 55 ms of one core through an ACES 2.0 view.
"""

STRIP = (-6.0, -3.0, 0.0, 3.0, 6.0)
"""Stops of the panels that light is rolled over, from the exposure asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One picture of a picture.

    Parameters
    ----------
    reading
        What its numbers are taken for: a Color Interop ID, ``data`` or ``unknown``.
    viewing
        Working space, display, view and exposure.
    shape
        ``view`` (through the working space and the view), ``plain`` (the numbers as they are),
        ``lit`` (a normal map under a fixed light), ``stops`` (a strip of exposures).
    channels
        All, or one of them as grey; ``grey`` is luminance of the working space, of data the mean.
    box, size
        Part of the picture in its own pixels, and what to fit it into; None for all.
    layer, frame
        Name of the layer; number of the file in a set.
    green
        Where green of a normal map points.
    quick
        Whether a smaller picture will do.
    """

    reading: str
    viewing: Viewing = field(default_factory=Viewing)
    shape: Shape = "view"
    channels: Channels = "rgb"
    box: Box | None = None
    size: tuple[int, int] | None = None
    layer: str = ""
    frame: int = 0
    green: Green = "up"
    quick: bool = False

    @property
    def is_colour(self) -> bool:
        """Whether the reading is a colour space."""
        return self.reading in SPACES


def check_wanted(wanted: Wanted) -> None:
    """Refuse what cannot be shown.

    Raises
    ------
    UseError
        If the reading is none of the vocabulary, or the exposure is beyond 32 stops.
    """
    if not wanted.is_colour and wanted.reading not in (DATA, UNKNOWN):
        raise UseError(
            f"There is no reading {wanted.reading!r}.",
            f"Use data, unknown, or one of: {', '.join(SPACES)}.",
        )
    if not -32 <= wanted.viewing.stops <= 32:
        raise UseError(
            f"An exposure of {wanted.viewing.stops} stops cannot be shown.", "Use -32 to 32."
        )
