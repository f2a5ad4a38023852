"""A number of noisy pictures, and how sure it is.

Two things stand between a picture of a few paths and the picture that endless paths would give.

*Spread.* Other chances would have given another number. The batches of a picture know nothing of
one another, so leaving one after another out shows how much (the jackknife).

*Noise taken for difference.* A distance is never below 0, so what noise leaves in a pixel adds to
it, and does not go away by having more pixels. It falls as the root of the count of paths where
there is no difference, and as the count itself where there is much. Both are seen by looking at
fewer batches: the number by all, by half and by a quarter of them is carried on to endless paths
by a line and a square in the root (Richardson's extrapolation). How well that holds depends on the
picture, so as much as was taken off counts as uncertain.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

import numpy as np

from primecoat.proof.paths.picture import BATCHES, Rendered

_SURE: Final = 2.365
"""Student's t for 95 % and seven degrees of freedom. Source: common tables of statistics."""

_PIXELS: Final = 4096
"""Pixels that the noise is judged by, evenly over the picture."""

Of = Callable[..., float]
Batches = tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number of a picture, and 95 % of certainty about it: plus or minus ``within``."""

    value: float
    within: float

    @property
    def sure(self) -> bool:
        """Whether it is told from 0."""
        return abs(self.value) > self.within


def figure(of: Of, *pictures: Rendered, signed: bool = False) -> Figure:
    """Return a number of one or more pictures, as endless paths would give it, with its certainty.

    Each batch is left out in turn, of all pictures: the same batch of each follows the same
    chances.

    Parameters
    ----------
    of
        Mean over the pixels of some distance, or a difference of such means.
    pictures
        Of :data:`~primecoat.proof.paths.picture.BATCHES` batches each.
    signed
        Whether it may be below 0; a distance is not.
    """
    everything = tuple(range(BATCHES))
    rest = [tuple(n for n in everything if n != left) for left in everything]
    few = [_thinned(one) for one in pictures]
    known = {kept: of(*(_of_batches(one, kept) for one in few)) for kept in _looked_at()}

    def whole(kept: Batches) -> float:
        if few[0].surface.size == pictures[0].surface.size:
            return known[kept]
        return of(*(_of_batches(one, kept) for one in pictures))

    noise = _noise(known, everything)
    left = np.array([whole(kept) - _noise(known, kept) for kept in rest])
    spread = np.sqrt((BATCHES - 1) / BATCHES * np.sum((left - left.mean()) ** 2))
    value = whole(everything) - noise
    return Figure(
        value=value if signed else max(0.0, value),
        within=float(np.hypot(_SURE * spread, noise)),
    )


def _noise(known: dict[Batches, float], among: Batches) -> float:
    """Return what noise adds to the number by these batches."""
    means = [
        np.mean([v for kept, v in known.items() if len(kept) == size and set(kept) <= set(among)])
        for size in (len(among), BATCHES // 2, BATCHES // 4)
    ]
    return float(means[0] - np.dot(_toward_endless(), means))


@lru_cache(maxsize=1)
def _toward_endless() -> tuple[float, ...]:
    """Return the weights of numbers by all, half and a quarter of the batches toward endless ones.

    Where one batch is left out the same weights serve: only the spread is wanted of those.

    Examples
    --------
    >>> noise = [3.0 + 5.0 / share**0.5 + 7.0 / share for share in (1.0, 0.5, 0.25)]
    >>> float(np.dot(_toward_endless(), noise).round(6))
    3.0
    """
    root = np.array((1.0, 0.5, 0.25)) ** -0.5
    return tuple(np.linalg.inv(np.stack((np.ones(len(root)), root, root**2), axis=1))[0])


@lru_cache(maxsize=1)
def _looked_at() -> tuple[Batches, ...]:
    """Return all batches, all but one, halves, and pairs.

    Halves and pairs hold each batch equally often, also those of them that lack any one batch:
    batches are the corners of a cube, the halves its planes.
    """
    corners = range(BATCHES)
    halves = [
        tuple(n for n in corners if (n & plane).bit_count() % 2 == side)
        for plane in range(1, BATCHES)
        for side in (0, 1)
    ]
    rest = [tuple(n for n in corners if n != left) for left in corners]
    return (tuple(corners), *rest, *halves, *combinations(corners, 2))


def _thinned(one: Rendered) -> Rendered:
    """Return some pixels of a picture, in rows and columns evenly apart."""
    step = max(1, int(np.ceil((one.surface.size / _PIXELS) ** 0.5)))
    return Rendered(
        batches=one.batches[:, :, ::step, ::step],
        surface=one.surface[::step, ::step],
        samples=one.samples,
    )


def _of_batches(one: Rendered, kept: Batches) -> Rendered:
    if len(kept) == len(one.batches):
        return one
    batches = one.batches[list(kept)]
    return Rendered(batches=batches, surface=one.surface, samples=one.samples)
