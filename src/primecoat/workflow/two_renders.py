"""Two renders looked at together: pictures, differences, numbers of a pixel, scopes."""

from __future__ import annotations

from pathlib import Path

from primecoat.colour.ocio import config_name
from primecoat.renders.inputs import Input, pairs_of
from primecoat.renders.match.adjustment import Adjustment
from primecoat.renders.match.sight import Sight, sights_of
from primecoat.report.shown.frame import Box
from primecoat.report.shown.pair_picture import (
    Of,
    PairChannels,
    PairShape,
    PairWanted,
    pair_picture,
)
from primecoat.report.shown.pair_pixel import PairPixel, pair_pixel
from primecoat.report.shown.pair_seen import AS_IT_IS, Look, Side
from primecoat.report.shown.picture import ShownPicture
from primecoat.report.shown.scopes import Scopes, scopes_of
from primecoat.workflow.matching import old_chain


def seen_together(
    old: Path | str,
    new: Path | str,
    *,
    old_corrections: Path | str | None = None,
    old_corrections_in: str | None = None,
    old_corrections_gives: str | None = None,
    old_corrections_clamp: bool | None = None,
    in_a: str | None = None,
    in_b: str | None = None,
    view_a: str | None = None,
    view_b: str | None = None,
    display: str | None = None,
    config: str | None = None,
) -> tuple[tuple[int | None, Sight], ...]:
    """Return how each frame of two renders is seen, with its number in a sequence.

    Colour alone is looked at: one may have alpha and the other not. Without old corrections views
    are those of :func:`primecoat.compare`; with them those of :func:`primecoat.match`, where it
    must be said how the old render was seen.

    Parameters
    ----------
    old, new, old_corrections, in_a, in_b, view_a, view_b, display, config
        As for :func:`primecoat.match`.

    Raises
    ------
    UseError
        If nobody says a space, sizes differ, frames are missing, or views are mixed.
    ImageError
        If a picture cannot be read.
    """
    used = config_name(config)
    chain = old_chain(
        old_corrections, old_corrections_in, old_corrections_gives, old_corrections_clamp, used
    )
    one = Input(name=str(old), space=in_a, view=view_a)
    other = Input(name=str(new), space=in_b, view=view_b)
    if chain is not None:
        return tuple(sights_of(one, other, chain, display, used))
    pairs = pairs_of(one, other, display=display, colour_only=True, config=used)
    return tuple((number, Sight(pair=pair)) for number, pair in pairs)


def render_picture(
    sight: Sight,
    of: Of,
    *,
    adjustment: Adjustment = AS_IT_IS,
    stops: float = 0.0,
    shape: PairShape = "view",
    channels: PairChannels = "rgb",
    box: Box | None = None,
    size: tuple[int, int] | None = None,
    end: float = 10.0,
    quick: bool = False,
) -> ShownPicture:
    """Return a picture of two renders: one as it is seen, or where they differ.

    Parameters
    ----------
    sight
        What :func:`seen_together` gives for a frame.
    of
        ``old``, ``new``, ``difference`` (CIEDE2000 after the views) or ``stops``.
    adjustment
        Numbers of a match, done to the new render.
    stops, shape, channels, box, size, end, quick
        See :class:`primecoat.report.shown.pair_picture.PairWanted`.

    Raises
    ------
    UseError, ImageError
        If there is no such box; if the pixels cannot be decoded.
    """
    wanted = PairWanted(
        of=of,
        look=Look(adjustment=adjustment, stops=stops),
        shape=shape,
        channels=channels,
        box=box,
        size=size,
        end=end,
        quick=quick,
    )
    return pair_picture(sight, wanted)


def render_pixel(
    sight: Sight, x: int, y: int, *, adjustment: Adjustment = AS_IT_IS, stops: float = 0.0
) -> PairPixel:
    """Return the numbers of one pixel of two renders, and how they differ.

    Parameters
    ----------
    x, y
        Column and row, from 0.
    sight, adjustment, stops
        As for :func:`render_picture`.

    Raises
    ------
    UseError, ImageError
        If there is no such pixel; if it cannot be decoded.
    """
    return pair_pixel(sight, x, y, Look(adjustment=adjustment, stops=stops))


def render_scopes(
    sight: Sight,
    side: Side,
    *,
    adjustment: Adjustment = AS_IT_IS,
    stops: float = 0.0,
    quick: bool = False,
) -> Scopes:
    """Count every pixel of a render as it is seen, for waveform, parade and histogram.

    Parameters
    ----------
    side
        ``old`` or ``new``.
    quick
        Count the pixels of a smaller picture instead.
    sight, adjustment, stops
        As for :func:`render_picture`.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    return scopes_of(sight, side, Look(adjustment=adjustment, stops=stops), quick=quick)
