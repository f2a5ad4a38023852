"""How both pictures are seen: the old one as it was, the new one after an adjustment."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import lab
from primecoat.colour.ocio import DEFAULT_VIEW, convert, through_view
from primecoat.errors import UseError
from primecoat.renders.corrections.model import Run, run_between
from primecoat.renders.frame import Frame
from primecoat.renders.inputs import Input, frames_of, pairs_of
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.blocks import WORKING
from primecoat.renders.match.old_chain import OldChain
from primecoat.renders.pairing import Pair
from primecoat.renders.screen_light import LIGHT, screen_light

Floats = NDArray[np.float64]
Rows = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """How a pair is seen.

    Parameters
    ----------
    pair
        The frames; the new one is scene-referred.
    corrections
        What the old one went through, or None.
    """

    pair: Pair
    corrections: OldChain | None = None

    @property
    def old_needs_no_view(self) -> bool:
        """Whether the old numbers, or a correction of them, are on a display without a view."""
        return self.pair.a.display_referred or bool(self.corrections and self.corrections.is_view)

    def old_codes(self, light: Rows) -> Rows:
        """Return display codes of the old light, shape (n, 3), 0 to 1, as it was seen."""
        pair, chain = self.pair, self.corrections
        values: NDArray[np.floating] = light
        space = WORKING
        if pair.a.display_referred:
            values, space = convert(light, LIGHT, pair.a.space, pair.config), pair.a.space
        elif chain is not None:
            values, space = run_between(chain.before, values, space, pair.config)
        if not self.old_needs_no_view:
            view = pair.seen_a
            assert view.view is not None, "checked by check_sight"
            values = through_view(values, space, view.display, view.view, pair.config)
            space = pair.screen_id or pair.screen
        if chain is not None:
            values, space = run_between(chain.after, values, space, pair.config)
        if space not in (pair.screen, pair.screen_id):
            values = convert(values, space, pair.screen, pair.config)
        return _shown(values)

    def new_codes(self, light: Rows, adjustment: Adjustment) -> Rows:
        """Return display codes of new light, shape (n, 3), 0 to 1, after an adjustment."""
        pair, view = self.pair, self.pair.seen_b
        assert view.view is not None, "checked by check_sight"
        if adjustment == Adjustment():
            return _shown(through_view(light, WORKING, view.display, view.view, pair.config))
        numbers = convert(light, WORKING, SPACE, pair.config)
        return self.codes_through(lambda _: adjusted(numbers, adjustment, pair.config), light)

    def codes_through(self, run: Run, light: Rows, space: str = SPACE) -> Rows:
        """Return display codes of new light after anything that gives numbers of a space."""
        pair, view = self.pair, self.pair.seen_b
        assert view.view is not None, "checked by check_sight"
        return _shown(through_view(run(light), space, view.display, view.view, pair.config))

    def lab(self, codes: Rows) -> Floats:
        """Return L*, a*, b* of display codes, shape (n, 3)."""
        pair = self.pair
        return lab(screen_light(codes, pair.screen, pair.screen_id, pair.config))


def sights_of(
    old: Input, new: Input, corrections: OldChain | None, display: str | None, config: str
) -> list[tuple[int | None, Sight]]:
    """Return how each frame of two inputs is seen for a match, with its number.

    Raises
    ------
    UseError, ImageError
        As for :func:`primecoat.renders.match.look.match_renders`.
    """
    view_new = new.view or DEFAULT_VIEW
    view_old = old.view
    for _, a, b in frames_of(old, new, config=config):
        if b.display_referred:
            raise UseError(
                f"{new.name} is display-referred ({b.space}): it has been through its view, "
                "and a look goes before it.",
                "Give the scene-referred render, or name the space of its numbers with --in-b.",
            )
        check_sight(a, corrections, view_old)
        if not a.display_referred:
            old = replace(old, view=view_old or view_new)  # with a view of its own it is not used
    pairs = pairs_of(
        old, replace(new, view=view_new), display=display, colour_only=True, config=config
    )
    return [(number, Sight(pair=pair, corrections=corrections)) for number, pair in pairs]


def check_sight(old: Frame, corrections: OldChain | None, view_old: str | None) -> None:
    """Refuse an old picture of which it is not said, or said twice, how it was seen.

    Raises
    ------
    UseError
        If nobody says how the old picture was seen, or more is said than can be.
    """
    if old.display_referred:
        if view_old is not None:
            raise UseError(
                f"{old.path} is display-referred ({old.space}): it has been through its view.",
                "Leave --view-a out, or name the scene-referred space of the numbers.",
            )
        if corrections is not None and corrections.before:
            raise UseError(
                f"{old.path} has been through its view ({old.space}), but "
                f"{corrections.before[0].name} works on light in the scene.",
                "Leave out the corrections that are in the picture already.",
            )
        return
    is_view = bool(corrections and corrections.is_view)
    if corrections is not None and is_view and view_old is not None:
        raise UseError(
            f"The old corrections lead to a display ({corrections.before[-1].gives}), and a view "
            "comes after no display.",
            "Leave --view-a out, or take the correction that is a view out of the file.",
        )
    if not is_view and view_old is None:
        raise UseError(
            f"Nobody says which view {old.path} was seen through.",
            "Name it with --view-a (Un-tone-mapped is the plain encoding of the display), or give "
            "corrections that lead to a display.",
        )


def _shown(codes: NDArray[np.floating]) -> Rows:
    """Return codes as a display shows them: what is beyond its range is cut off."""
    plain = np.nan_to_num(codes, nan=0.0, posinf=1.0, neginf=0.0)
    return np.asarray(np.clip(plain, 0.0, 1.0), np.float32)
