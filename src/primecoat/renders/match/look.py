"""Match a new render to an old one as it was seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ocio import DEFAULT_CONFIG, convert
from primecoat.errors import UseError
from primecoat.jobs import Progress
from primecoat.renders.inputs import Input
from primecoat.renders.match.adjustment import SPACE, STOP, Adjustment
from primecoat.renders.match.blocks import (
    BLOCKS,
    BLOCKS_OF_A_FRAME,
    WORKING,
    Blocks,
    blocks_of,
    chosen,
    side_for,
)
from primecoat.renders.match.fit import fit_steps
from primecoat.renders.match.left import residual_of, sample_of
from primecoat.renders.match.model import Floats, Match, MatchStep, Residual, Rows, Sample
from primecoat.renders.match.old_chain import OldChain
from primecoat.renders.match.sight import Sight, sights_of
from primecoat.renders.match.steps import STEPS, Step

USUAL_STEPS: Final[tuple[Step, ...]] = STEPS[:-1]
"""Without the numbers for each channel, which are fitted on request."""

WORTH: Final = 0.1
"""CIEDE2000, mean, that a step must bring to be recommended; or a tenth of what is left, if that
is more; 95 % must not rise by as much. A tenth of what an eye just tells apart."""

_FITTED = 36_000
"""Most blocks that a fit looks at; of a long sequence, some of each frame."""

_CLIPPED = 5e-4

_TELLS_CONTRAST = 0.5
"""Stops that 90 % of the blocks must span to tell contrast from exposure."""

_TELLS_SATURATION = 0.2
"""Stops that the channels of a block in twenty must lie apart to tell saturation."""


def match_renders(
    old: Input,
    new: Input,
    *,
    corrections: OldChain | None = None,
    display: str | None = None,
    channels: bool = False,
    up_to: Step | None = None,
    config: str = DEFAULT_CONFIG,
    progress: Progress | None = None,
) -> Match:
    """Return the numbers that make a new render look as the old one was seen.

    Parameters
    ----------
    old, new
        Frames or sequences. The old one needs a view, unless it is display-referred or its
        corrections end on a display; the new one is seen through the default view if none is said.
    corrections
        What the old one went through before its view.
    display
        Display of both views.
    channels
        Fit numbers for each channel too.
    up_to
        The step to take; None for the recommended one.
    config
        Built-in name or path.
    progress
        Told after each reading of a pair of frames and after each step; what it raises ends the
        match.

    Raises
    ------
    UseError
        If nobody says a space or how the old picture was seen, the new one has been through its
        view, sizes differ, or there is nothing to look at.
    ImageError
        If a picture cannot be read.
    """
    sights = sights_of(old, new, corrections, display, config)
    wanted = STEPS if channels or up_to == "channels" else USUAL_STEPS
    told = _Told(progress, 2 * len(sights) + len(wanted))
    pixels = sum(sight.pair.a.width * sight.pair.a.height for _, sight in sights)
    side = side_for(pixels, max(BLOCKS, BLOCKS_OF_A_FRAME * len(sights)))
    held = [(sight, told.after(blocks_of(sight.pair, side))) for _, sight in sights]
    seen = [_seen(sight, blocks) for sight, blocks in held]
    target = np.concatenate([one.target[one.fitted] for one in seen])
    light = np.concatenate([one.light[one.fitted] for one in seen])
    every = max(1, -(-len(target) // _FITTED))
    fitted_light, fitted_target = light[::every], target[::every]
    if not len(target):
        raise UseError(
            f"There is nothing to match in {new.name}: all that is finite is clipped to black or "
            "white where it is seen.",
            "Give renders that are exposed, or another view.",
        )
    sight = sights[0][1]

    def lab_of(adjustment: Adjustment) -> Floats:
        return sight.lab(sight.new_codes(fitted_light, adjustment))

    untold = _untold(fitted_light, config)
    samples = [told.after(sample_of(one, len(sights))) for _, one in sights]
    blocks = [Sample(sight=s.sight, light=s.light, target=s.target) for s in seen]
    steps = tuple(
        MatchStep(
            step=fitted.step,
            adjustment=fitted.adjustment,
            residual=told.after(residual_of(blocks, samples, fitted.adjustment)),
        )
        for fitted in fit_steps(lab_of, fitted_target, wanted, frozenset(untold))
    )
    recommended = _recommended(steps)
    taken = up_to or recommended
    result = next(one.adjustment for one in steps if one.step == taken)
    frames = [
        (number or 0, residual_of([own], [sample], result))
        for (number, _), own, sample in zip(sights, blocks, samples, strict=True)
    ]
    whole = sum(own.target.shape[0] for own in seen)
    return Match(
        old=old.name,
        new=new.name,
        sight=sight,
        steps=steps,
        recommended=recommended,
        chosen=taken,
        frames=() if len(sights) == 1 else tuple(frames),
        left_out=1.0 - len(target) / whole,
        side=side,
        untold=untold,
        samples=tuple(samples),
        blocks=tuple(blocks),
    )


def by_hand(match: Match, adjustment: Adjustment) -> Match:
    """Return a match whose chosen step holds numbers that a person chose.

    What is left is measured as it is of the fitted steps. Numbers of one of those give that step.
    """
    fitted = next((one for one in match.steps if one.adjustment == adjustment), None)
    if fitted is None:
        residual = residual_of(match.blocks, match.samples, adjustment)
        fitted = MatchStep(step="by hand", adjustment=adjustment, residual=residual)
    steps = tuple(one for one in match.steps if one.step not in (fitted.step, "by hand"))
    order: tuple[Step, ...] = (*STEPS, "by hand")
    return replace(
        match,
        steps=tuple(sorted((*steps, fitted), key=lambda one: order.index(one.step))),
        chosen=fitted.step,
        frames=tuple(
            (number, residual_of([own], [sample], adjustment))
            for (number, _), own, sample in zip(
                match.frames, match.blocks, match.samples, strict=False
            )
        ),
    )


_Item = TypeVar("_Item")


class _Told:
    """Passes on how far a match has come."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._done, self._total = progress, 0, total

    def after(self, result: _Item) -> _Item:
        """Count one stretch of the work as done, and give what it gave."""
        self._done += 1
        if self._progress is not None:
            self._progress(self._done, self._total, 0, 0)
        return result


@dataclass(frozen=True, slots=True)
class _Seen:
    sight: Sight
    light: Rows  # linear AP1 of the new one
    target: Floats  # L*, a*, b* of the old one
    fitted: NDArray[np.bool_]


def _seen(sight: Sight, blocks: Blocks) -> _Seen:
    known = np.isfinite(blocks.old[..., 0])
    old, light = blocks.old[known], blocks.new[known]
    codes = sight.old_codes(old)
    clipped = (codes >= 1.0 - _CLIPPED).all(axis=1) | (codes <= _CLIPPED).all(axis=1)
    return _Seen(
        sight,
        light,
        sight.lab(codes),
        chosen(blocks)[known] & ~clipped,
    )


def _untold(light: Rows, config: str) -> tuple[Step, ...]:
    """Return the steps whose numbers light of linear AP1 cannot tell."""
    codes = convert(light, WORKING, SPACE, config)
    low, high = np.percentile(codes.mean(axis=1), (5, 95))
    untold: list[Step] = []
    if high - low < _TELLS_CONTRAST * STOP:
        untold.append("contrast")
    if np.percentile(np.ptp(codes, axis=1), 95) < _TELLS_SATURATION * STOP:
        untold.append("saturation")
    return tuple(untold)


def _recommended(steps: tuple[MatchStep, ...]) -> Step:
    """Return the simplest step that no further one betters by what is worth a parameter."""
    for at, one in enumerate(steps):
        if not any(_betters(later.residual, one.residual) for later in steps[at + 1 :]):
            return one.step
    raise AssertionError("the last step has none after it")


def _betters(later: Residual, one: Residual) -> bool:
    """Return whether a step brings the mean down by its worth, and 95 % not up by as much.

    Examples
    --------
    >>> one = Residual(mean=2.5, p95=5.3, pixels_mean=2.8, pixels_p95=5.9)
    >>> _betters(Residual(mean=2.2, p95=6.4, pixels_mean=2.7, pixels_p95=7.0), one)
    False
    """
    gain, loss = one.mean - later.mean, later.p95 - one.p95
    return gain > max(WORTH, 0.1 * one.mean) and loss <= max(WORTH, 0.1 * one.p95)
