"""Two renders as they are seen: numbers of a part of both, and their display codes.

What ``compare`` says of a pixel holds here too: the codes are those of OpenColorIO's own processor
without optimisation. Through old corrections, and through the numbers of a match, codes are cut to
what a display shows, as ``match`` does it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.colour.ocio.kept import stamp
from primecoat.renders.frame import Frame as Render
from primecoat.renders.frame import seen_rows
from primecoat.renders.match.adjustment import SPACE, Adjustment, adjusted
from primecoat.renders.match.blocks import WORKING, light_of
from primecoat.renders.match.sight import Sight
from primecoat.renders.measure_pair import in_order
from primecoat.report.shown.decoded import decoded
from primecoat.report.shown.frame import Frame
from primecoat.report.shown.kept import KEPT
from primecoat.report.shown.light import averaging
from primecoat.report.shown.planes import Planes
from primecoat.report.shown.source import Source, source_of

Floats = NDArray[np.float32]
Side = Literal["old", "new"]

AS_IT_IS: Final = Adjustment()
"""Nothing done."""

_AT_ONCE = 1 << 15
"""Pixels worked on at once by one core."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What is done to the renders before their views.

    Parameters
    ----------
    adjustment
        Done to the new one: the numbers of a match.
    stops
        Exposure of both, of light in the scene; a display-referred render is not touched.
    """

    adjustment: Adjustment = AS_IT_IS
    stops: float = 0.0

    def of(self, side: Side) -> Look:
        """Return what is done to one side."""
        return self if side == "new" else Look(stops=self.stops)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Numbers of a part of one render.

    Parameters
    ----------
    values
        Shape (height, width, 3): as stored, 8 and 16 bit codes 0 to 1, grey three times.
    broken
        Shape (height, width): where NaN or an infinity is among the pixels.
    not_finite
        How many pixels of the file are so.
    """

    values: Floats
    broken: NDArray[np.bool_]
    not_finite: int


def render_of(sight: Sight, side: Side) -> Render:
    """Return one of the two renders."""
    return sight.pair.a if side == "old" else sight.pair.b


def planes_of_render(render: Render) -> Planes:
    """Return the channels of a render, colour first."""
    colour = render.channels[: len(render.channels) - render.alpha]
    names = ("Y",) if len(colour) == 1 else ("R", "G", "B")
    return Planes(
        part=render.part,
        layer=render.layer,
        colour=colour,
        alpha=render.channels[-1] if render.alpha else None,
        names=(*names, *(("A",) if render.alpha else ())),
    )


def source_of_render(render: Render) -> Source:
    """Return where its numbers come from."""
    return source_of(render.path)


def key_of(sight: Sight) -> Hashable:
    """Return what changes when a file, the config or the way of seeing does."""
    sources = (source_of_render(render).key() for render in (sight.pair.a, sight.pair.b))
    return sight, *sources, stamp(sight.pair.config)


def part_of(sight: Sight, side: Side, shown: Frame) -> Part:
    """Return numbers of a part; of several pixels the mean of their light.

    Raises
    ------
    ImageError
        If the pixels cannot be decoded to the end.
    """
    render = render_of(sight, side)
    mean = averaging(render.space, sight.pair.config)
    made = decoded(source_of_render(render), planes_of_render(render), shown, mean)
    values = made.values
    if values.shape[-1] == 1:
        values = np.repeat(values, 3, axis=-1)
    return Part(
        values=straight(values, made.alpha, render),
        broken=made.broken,
        not_finite=made.not_finite,
    )


def straight(values: Floats, alpha: Floats | None, render: Render) -> Floats:
    """Return colour without the alpha that was multiplied in, where numbers have a curve."""
    if not render.multiplied or alpha is None or SPACES[render.space].linear:
        return values
    return np.asarray(values / np.where(alpha > 0.0, alpha, np.float32(1.0))[..., None], np.float32)


def codes_of(sight: Sight, side: Side, rows: Floats, look: Look) -> Floats:
    """Return display codes of numbers, 0 to 1, beyond where a view goes beyond; shape (..., 3)."""

    def see(some: Floats) -> Floats:
        return _codes(sight, side, some, look.of(side))

    return by_cores(see, rows)


def light_seen(sight: Sight, side: Side, rows: Floats, look: Look) -> Floats:
    """Return scene-referred numbers as linear AP1 light, after exposure and match."""
    light = exposed(sight, side, rows, look)
    adjustment = look.of(side).adjustment
    if adjustment == AS_IT_IS:
        return light
    config = sight.pair.config
    numbers = adjusted(convert(light, WORKING, SPACE, config), adjustment, config)
    return convert(numbers, SPACE, WORKING, config)


def exposed(sight: Sight, side: Side, rows: Floats, look: Look) -> Floats:
    """Return numbers as light, of a scene-referred render linear AP1, exposed."""
    render = render_of(sight, side)
    light = light_of(rows, render, sight.pair.config)
    if render.display_referred or not look.stops:
        return light
    return np.asarray(light * np.float32(2.0**look.stops), np.float32)


def part_codes(sight: Sight, side: Side, shown: Frame, look: Look) -> tuple[Floats, Part]:
    """Return display codes of a part, and its numbers; kept until something changes."""
    own = look.of(side)
    part = part_of(sight, side, shown)
    key = ("pair codes", key_of(sight), side, shown, own)
    codes = KEPT.get(key, lambda: codes_of(sight, side, part.values, own), lambda c: c.nbytes)
    return codes, part


def by_cores(work: Callable[[Floats], Floats], rows: Floats) -> Floats:
    """Return what some work makes of numbers, shape (..., n), on all cores."""
    flat = rows.reshape(-1, rows.shape[-1])
    if len(flat) <= _AT_ONCE:
        made = work(flat)
    else:
        work(flat[:1])  # processors are built once, before several threads ask for them
        starts = range(0, len(flat), _AT_ONCE)
        pieces = in_order(lambda start: work(flat[start : start + _AT_ONCE]), starts)
        made = np.concatenate(list(pieces))
    return made.reshape(*rows.shape[:-1], *made.shape[1:])


def _codes(sight: Sight, side: Side, rows: Floats, look: Look) -> Floats:
    pair = sight.pair
    render, seen = (pair.a, pair.seen_a) if side == "old" else (pair.b, pair.seen_b)
    if side == "old" and sight.corrections is not None:
        return sight.old_codes(exposed(sight, side, rows, look))
    if side == "new" and look.adjustment != AS_IT_IS:
        return sight.new_codes(exposed(sight, side, rows, look), look.adjustment)
    if seen.view is None:
        same = render.space in (pair.screen, pair.screen_id)
        return rows if same else convert(rows, render.space, pair.screen, pair.config)
    if not look.stops:
        return seen_rows(rows, render.space, seen)
    return seen_rows(exposed(sight, side, rows, look), WORKING, seen)
