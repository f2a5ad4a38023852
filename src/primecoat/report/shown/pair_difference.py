"""How two renders differ at each pixel: CIEDE2000 as they are seen, and stops of their light."""

from __future__ import annotations

from functools import partial

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.difference_rows import ciede2000_rows, lab_rows
from primecoat.colour.ocio import convert
from primecoat.renders.match.blocks import WORKING
from primecoat.renders.match.sight import Sight
from primecoat.renders.measure import luminance_row
from primecoat.renders.screen_light import screen_light
from primecoat.report.shown.pair_seen import (
    AS_IT_IS,
    Floats,
    Look,
    Side,
    by_cores,
    exposed,
    light_seen,
)


def colour_difference(sight: Sight, old: Floats, new: Floats) -> Floats:
    """Return CIEDE2000 between display codes, shapes (..., 3); shape (...); white is 100 cd/m²."""
    pair = sight.pair

    def differ(both: Floats) -> Floats:
        one, other = (
            lab_rows(
                screen_light(
                    np.ascontiguousarray(both[:, side]), pair.screen, pair.screen_id, pair.config
                )
            )
            for side in (slice(0, 3), slice(3, 6))
        )
        return ciede2000_rows(one, other)

    return by_cores(differ, np.concatenate([old, new], axis=-1))


def stops_between(
    sight: Sight,
    numbers: tuple[Floats, Floats],
    codes: tuple[Floats, Floats],
    look: Look,
) -> Floats:
    """Return log2 of new light to old by luminance, shape (...); NaN where there is none.

    Of light in the scene if both renders are scene-referred and the old one went through no
    corrections, as ``compare`` has it, after the numbers of a match; else of light on the display.

    Parameters
    ----------
    numbers, codes
        Of old and new, shapes (..., 3).
    """
    sides: tuple[Side, Side] = ("old", "new")
    old, new = (
        by_cores(partial(_luminance, sight, side, look), np.concatenate(own, axis=-1))
        for side, own in zip(sides, zip(numbers, codes, strict=True), strict=True)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        stops = np.log2(new / old)
    stops[(old <= 0) | (new <= 0)] = np.nan
    return np.asarray(stops, np.float32)


def stops_are_of_the_scene(sight: Sight) -> bool:
    """Whether stops are those of light in the scene, not of light on the display."""
    return sight.pair.linear is not None and sight.corrections is None


def _luminance(sight: Sight, side: Side, look: Look, both: Floats) -> NDArray[np.float32]:
    pair = sight.pair
    rows, codes = (np.ascontiguousarray(both[:, part]) for part in (slice(0, 3), slice(3, 6)))
    if pair.linear is None or sight.corrections is not None:
        return screen_light(codes, pair.screen, pair.screen_id, pair.config)[:, 1]
    render = pair.a if side == "old" else pair.b
    if look.of(side).adjustment == AS_IT_IS and not look.stops:
        light = (
            rows
            if render.space == pair.linear
            else convert(rows, render.space, pair.linear, pair.config)
        )
    else:
        see = exposed if side == "old" else light_seen
        light = see(sight, side, rows, look)
        if pair.linear != WORKING:
            light = convert(light, WORKING, pair.linear, pair.config)
    return np.asarray(light @ luminance_row(pair.linear), np.float32)
