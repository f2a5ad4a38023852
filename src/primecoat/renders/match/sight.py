"""How both pictures are seen: the old one as it was, the new one after an adjustment."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference import lab
from primecoat.colour.ocio import convert, through_view
from primecoat.colour.ocio.transforms import is_display_space
from primecoat.errors import UseError
from primecoat.renders.corrections import Chain, seen_through
from primecoat.renders.frame import Frame
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.blocks import WORKING
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
    corrections: Chain | None = None

    @property
    def old_ends_on_display(self) -> bool:
        """Whether the old numbers need no view: they, or their corrections, end on a display."""
        chain = self.corrections
        space = chain.gives if chain else self.pair.a.space
        return is_display_space(space, self.pair.config)

    def old_codes(self, light: Rows) -> Rows:
        """Return display codes of the old light, shape (n, 3), as it was seen."""
        pair = self.pair
        source = LIGHT if pair.a.display_referred else WORKING
        values, space = light, source
        if pair.a.display_referred:
            values, space = convert(light, source, pair.a.space, pair.config), pair.a.space
        if self.corrections is not None:
            values = seen_through(self.corrections, values, space)
            space = self.corrections.gives
        if is_display_space(space, pair.config):
            return _codes(values, space, pair)
        view = pair.seen_a
        assert view.view is not None, "checked by check_sight"
        return through_view(values, space, view.display, view.view, pair.config)

    def new_codes(self, light: Rows, adjustment: Adjustment) -> Rows:
        """Return display codes of new light, shape (n, 3), after an adjustment."""
        pair, view = self.pair, self.pair.seen_b
        assert view.view is not None, "checked by check_sight"
        if adjustment == Adjustment():
            return through_view(light, WORKING, view.display, view.view, pair.config)
        done = adjusted(convert(light, WORKING, SPACE, pair.config), adjustment, pair.config)
        return through_view(done, SPACE, view.display, view.view, pair.config)

    def lab(self, codes: Rows) -> Floats:
        """Return L*, a*, b* of display codes, shape (n, 3)."""
        pair = self.pair
        return lab(screen_light(codes, pair.screen, pair.screen_id, pair.config))


def check_sight(old: Frame, corrections: Chain | None, view_old: str | None, config: str) -> None:
    """Refuse an old picture of which it is not said, or said twice, how it was seen.

    Raises
    ------
    UseError
        If nobody says how the old picture was seen, or more is said than can be.
    """
    space = corrections.gives if corrections else old.space
    on_display = is_display_space(space, config)
    if on_display and view_old is not None and not old.display_referred:
        raise UseError(
            f"The old corrections end on a display ({space}), and a view comes after no display.",
            "Leave --view-a out, or take the last correction out of the file.",
        )
    if not on_display and view_old is None:
        raise UseError(
            f"Nobody says which view {old.path} was seen through.",
            "Name it with --view-a (Un-tone-mapped is the plain encoding of the display), or give "
            "corrections that end on a display.",
        )


def _codes(values: Rows, space: str, pair: Pair) -> Rows:
    return (
        values
        if space in (pair.screen, pair.screen_id)
        else convert(values, space, pair.screen, pair.config)
    )
