"""Pictures of two renders: each as it is seen, and where they differ."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

import numpy as np

from primecoat.colour.ocio import convert
from primecoat.colour.primaries import D65, xy_to_xyz
from primecoat.renders.match.sight import Sight
from primecoat.renders.pictures.draw import SCREEN
from primecoat.renders.pictures.scales import NOTHING, how_much, which_way
from primecoat.renders.screen_light import LIGHT, screen_light
from primecoat.report.shown.frame import Box, Frame, framed
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.marks import mark
from primecoat.report.shown.pair_difference import (
    colour_difference,
    stops_are_of_the_scene,
    stops_between,
)
from primecoat.report.shown.pair_seen import AS_IT_IS, Floats, Look, Side, key_of, part_codes
from primecoat.report.shown.picture import ShownPicture
from primecoat.report.shown.png import label, png
from primecoat.report.shown.wanted import QUICK_PIXELS

Of = Literal["old", "new", "difference", "stops"]
PairChannels = Literal["rgb", "r", "g", "b", "grey"]
PairShape = Literal["view", "plain"]

SAMPLES: Final = 33
"""Colours of a scale that are told for its key; between them it is nearly straight."""

NO_NUMBER: Final = tuple(round(255 * part) for part in NOTHING)
"""Colour of a difference where there is no number, sRGB 0 to 255."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PairWanted:
    """One picture of two renders.

    Parameters
    ----------
    of
        ``old`` or ``new`` as it is seen; ``difference`` (CIEDE2000); ``stops`` (of light).
    look
        What is done before the views.
    shape
        ``view``, or ``plain``: the numbers as stored, 0 to 1.
    channels
        All, or one as grey; ``grey`` is luminance on the display. Not of differences.
    box, size
        Part in pixels of the file, and what to fit it into; None for all.
    end
        Where the colours of a difference end, above 0: CIEDE2000 or stops.
    quick
        Whether a smaller picture will do.
    """

    of: Of
    look: Look = field(default_factory=Look)
    shape: PairShape = "view"
    channels: PairChannels = "rgb"
    box: Box | None = None
    size: tuple[int, int] | None = None
    end: float = 10.0
    quick: bool = False


def pair_picture(sight: Sight, wanted: PairWanted) -> ShownPicture:
    """Return a picture of two renders; made again only when something has changed.

    Raises
    ------
    UseError
        If there is no such box or size.
    ImageError
        If the pixels cannot be decoded to the end.
    """
    render = sight.pair.a
    most = QUICK_PIXELS if wanted.quick else None
    shown = framed((render.width, render.height), wanted.box, wanted.size, most)
    key = ("pair picture", key_of(sight), wanted)
    return KEPT.get(key, lambda: _made(sight, wanted, shown), lambda made: len(made.png) + 1024)


def key_colours(of: Of) -> tuple[tuple[int, int, int], ...]:
    """Return the colours of a difference from the start of its scale to the end, sRGB 0 to 255.

    Examples
    --------
    >>> key_colours("difference")[0], len(key_colours("stops"))
    ((5, 5, 8), 33)
    """
    shares = np.linspace(0.0 if of == "difference" else -1.0, 1.0, SAMPLES)
    colours = (how_much if of == "difference" else which_way)(shares)
    return tuple((int(r), int(g), int(b)) for r, g, b in np.rint(colours * 255).tolist())


def _made(sight: Sight, wanted: PairWanted, shown: Frame) -> ShownPicture:
    pair = sight.pair
    display: str | None = SCREEN
    if wanted.of in ("old", "new"):
        side: Side = "old" if wanted.of == "old" else "new"
        codes, part = part_codes(sight, side, shown, wanted.look)
        if wanted.shape == "plain":
            codes = part.values
            words = "The numbers as stored, through no view; black is 0, white is 1."
        else:
            display = pair.screen_id
            words = how_seen(sight, side, wanted.look)
        drawn = mark(_one_channel(codes, wanted, sight), part.broken, None)
        not_finite = part.not_finite
    else:
        drawn, not_finite, words = _difference(sight, wanted, shown)
    reduced = (
        (f"{shown.block:.1f} pixels of the file to one, by the mean of their light.",)
        if shown.reduced
        else ()
    )
    return ShownPicture(
        png=png(drawn, display),
        width=shown.width,
        height=shown.height,
        box=shown.box,
        exact=not wanted.quick,
        block=shown.block,
        not_finite=not_finite,
        display=display,
        label=label(display),
        words=(words, *reduced),
    )


def how_seen(sight: Sight, side: Side, look: Look) -> str:
    """Return how a render is seen, in a sentence."""
    pair = sight.pair
    render, seen = (pair.a, pair.seen_a) if side == "old" else (pair.b, pair.seen_b)
    steps = [render.space]
    chain = sight.corrections if side == "old" else None
    if look.stops and not render.display_referred:
        steps.append(f"{look.stops:+g} stops")
    if chain is not None:
        steps.append(f"the corrections of {chain.chain.path.name}")
    if side == "new" and look.adjustment != AS_IT_IS:
        steps.append("the numbers of the match")
    bare = sight.old_needs_no_view if side == "old" else render.display_referred
    steps.append("no view" if bare else f"{seen.view} on {seen.display}")
    return f"{steps[0]}, through {', '.join(steps[1:])}."


def _difference(sight: Sight, wanted: PairWanted, shown: Frame) -> tuple[Floats, int, str]:
    (old, old_part), (new, new_part) = (
        part_codes(sight, side, shown, wanted.look) for side in _SIDES
    )
    broken = old_part.broken | new_part.broken
    if wanted.of == "difference":
        found = colour_difference(sight, old, new)
        colours = how_much
        words = f"CIEDE2000 as both are seen, 0 to {wanted.end:g} and more."
    else:
        numbers = old_part.values, new_part.values
        found = stops_between(sight, numbers, (old, new), wanted.look)
        colours = which_way
        light = "in the scene" if stops_are_of_the_scene(sight) else "on the display"
        words = (
            f"Stops from old to new by luminance of light {light}, "
            f"{-wanted.end:g} to {wanted.end:g} and beyond."
        )
    share = np.where(broken, np.float32(np.nan), found) / np.float32(wanted.end)
    return colours(share), max(old_part.not_finite, new_part.not_finite), words


_SIDES: Final[tuple[Side, Side]] = ("old", "new")


def _one_channel(codes: Floats, wanted: PairWanted, sight: Sight) -> Floats:
    if wanted.channels == "rgb":
        return codes
    if wanted.channels == "grey":
        if wanted.shape == "plain":
            return np.repeat(codes.mean(axis=-1, keepdims=True), 3, axis=-1)
        pair = sight.pair
        flat = np.ascontiguousarray(codes.reshape(-1, 3))
        luminance = screen_light(flat, pair.screen, pair.screen_id, pair.config)[:, 1:2]
        neutral = np.ascontiguousarray(luminance * xy_to_xyz(D65).astype(np.float32))
        return convert(neutral, LIGHT, pair.screen, pair.config).reshape(codes.shape)
    at = "rgb".index(wanted.channels)
    return np.repeat(codes[..., at : at + 1], 3, axis=-1)
