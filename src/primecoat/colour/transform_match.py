"""Which colour space of the vocabulary a transform decodes, by the numbers it gives.

A transform is asked for the light of a fixed set of code values; what comes out is compared
with the light that each space of the vocabulary gives for them.

The distance of two sets of light is the greatest relative difference of a probe: the length of
the difference over the length of the true light, plus :data:`FLOOR`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from primecoat.colour.decoding import Floats, light_in_reference
from primecoat.colour.ids import SPACES

Referred = Literal["scene", "display"]

TOLERANCE: Final = 0.007
"""Greatest distance of a true match; another white adaptation (CAT02 for Bradford) costs 0.0045.
How far true matches and other spaces stay from it is measured over the built-in configs:
docs/reference/colour-space-names.md."""

FLOOR: Final = 0.01
"""Light below which a difference counts as a share of this: a hundredth of white. Smaller floors
make differences that nobody sees count: OpenColorIO's HLG leaves BT.2100 below code 0.025."""

_GREYS = (0.0, 0.005, 0.01, 0.02, 0.03, 0.04, 0.06, 0.1, 0.18, 0.3, 0.46, 0.5, 0.7, 0.9, 1.0)
_HUES = tuple((r, g, b) for r in (0, 1) for g in (0, 1) for b in (0, 1) if 0 < r + g + b < 3)
_COLOURS = (
    *_HUES,
    *((0.5 * r, 0.5 * g, 0.5 * b) for r, g, b in _HUES),
    (0.8, 0.5, 0.3),  # a warm clay, a green glaze, a cobalt
    (0.2, 0.6, 0.4),
    (0.1, 0.2, 0.7),
)
_BEYOND = ((-0.1, -0.1, -0.1), (-0.2, 0.5, 0.1), (4.0, 4.0, 4.0), (16.0, 2.0, 0.5))

INSIDE: Final = len(_GREYS) + len(_COLOURS)
"""How many probes lie within 0 to 1; they come first."""

PROBES: Final[Floats] = np.array([*((v, v, v) for v in _GREYS), *_COLOURS, *_BEYOND])
"""Code values, shape (n, 3): greys with a dark toe (where piecewise sRGB and a pure 2.2 part),
primaries, mixes; then numbers below 0 and above 1. The latter count for linear spaces alone: of
encoded ones the standards define 0 to 1, and look-up tables end there."""
PROBES.flags.writeable = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What a transform's numbers come to.

    Parameters
    ----------
    reading
        Color Interop ID of the same numbers, or None.
    nearest
        The nearest ID, also where that is too far.
    distance
        How far the nearest is.
    runner_up, runner_up_distance
        The next nearest ID.
    inside
        The nearest ID if only probes from 0 to 1 count.
    cut_off
        Whether the transform is that of ``inside``, a linear space, from 0 to 1 but not outside.
    distances
        The distance of every ID that refers to the same.
    """

    reading: str | None
    nearest: str
    distance: float
    runner_up: str
    runner_up_distance: float
    inside: str
    cut_off: bool
    distances: dict[str, float]


def match_light(light: NDArray[np.floating], referred: Referred) -> Match:
    """Return which colour space gives this light for :data:`PROBES`.

    Parameters
    ----------
    light
        Shape of :data:`PROBES`, in the space of
        :func:`primecoat.colour.decoding.light_in_reference`.
    referred
        What the light stands for; only spaces that refer to the same are compared.

    Examples
    --------
    >>> found = match_light(light_in_reference(PROBES, "g22_rec709_scene"), "scene")
    >>> found.reading, found.distance, found.runner_up
    ('g22_rec709_scene', 0.0, 'srgb_rec709_scene')
    """
    inside = {s: distance(light[:INSIDE], truth[:INSIDE]) for s, truth in _truths(referred)}
    whole = {
        s: distance(light, truth) if SPACES[s].linear else inside[s]
        for s, truth in _truths(referred)
    }
    ranked = sorted(whole, key=lambda s: (whole[s], inside[s]))
    nearest, runner_up = ranked[0], ranked[1]
    near = min(inside, key=lambda s: inside[s])
    return Match(
        reading=nearest if whole[nearest] <= TOLERANCE else None,
        nearest=nearest,
        distance=whole[nearest],
        runner_up=runner_up,
        runner_up_distance=whole[runner_up],
        inside=near,
        cut_off=inside[near] <= TOLERANCE < whole[near],
        distances=whole,
    )


def distance(light: NDArray[np.floating], truth: NDArray[np.floating]) -> float:
    """Return the greatest relative difference of light from the true light; shapes (n, 3).

    Light that is not finite is infinitely far.

    Examples
    --------
    >>> distance(np.array([[1.01, 0.0, 0.0]]), np.array([[1.0, 0.0, 0.0]])).__round__(5)
    0.0099
    """
    if not np.isfinite(light).all():
        return float("inf")
    off = np.linalg.norm(light - truth, axis=1)
    return float((off / (np.linalg.norm(truth, axis=1) + FLOOR)).max())


@lru_cache(maxsize=2)
def _truths(referred: Referred) -> tuple[tuple[str, Floats], ...]:
    return tuple(
        (space.id, light_in_reference(PROBES, space.id))
        for space in SPACES.values()
        if space.referred == referred
    )
