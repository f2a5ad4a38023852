"""A look that was matched, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.sight import Sight
from primecoat.renders.match.steps import Step

Floats = NDArray[np.float64]
Rows = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Residual:
    """What is left, in CIEDE2000.

    Parameters
    ----------
    mean, p95
        Over blocks of pixels, in which noise averages out.
    pixels_mean, pixels_p95
        Over single pixels, noise, edges and all.
    """

    mean: float
    p95: float
    pixels_mean: float
    pixels_p95: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchStep:
    """One more parameter, or numbers chosen by hand; what all come to, and what is left."""

    step: Step
    adjustment: Adjustment
    residual: Residual


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """Some pixels of a frame.

    Parameters
    ----------
    sight
        How the frame is seen.
    light
        Linear AP1 of the new one, shape (n, 3).
    target
        L*, a*, b* of the old one as it was seen, shape (n, 3).
    """

    sight: Sight
    light: Rows
    target: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """A look that was matched.

    Parameters
    ----------
    old, new
        As the person named them.
    sight
        How both are seen; of a sequence, of its first frame.
    steps
        From nothing done to all parameters.
    recommended, chosen
        The simplest step that serves, and the one that files are written of.
    frames
        For each frame of a sequence: its number and what is left after the chosen step.
    left_out
        Share of the blocks that the fit does not look at: edges, and what is clipped when seen.
    side
        Side of the blocks in pixels.
    untold
        Steps whose numbers the pictures cannot tell, and which were left alone.
    samples
        Pixels of each frame, to measure what is left after other things than these numbers.
    blocks
        Blocks of each frame, for the same.
    """

    old: str
    new: str
    sight: Sight
    steps: tuple[MatchStep, ...]
    recommended: Step
    chosen: Step
    frames: tuple[tuple[int, Residual], ...]
    left_out: float
    side: int
    untold: tuple[Step, ...] = ()
    samples: tuple[Sample, ...] = field(default=(), repr=False, compare=False)
    blocks: tuple[Sample, ...] = field(default=(), repr=False, compare=False)

    @property
    def result(self) -> MatchStep:
        """The chosen step."""
        return next(one for one in self.steps if one.step == self.chosen)
