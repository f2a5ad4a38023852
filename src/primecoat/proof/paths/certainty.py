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

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from primecoat.proof.paths.picture import BATCHES, Rendered

_SURE: Final = 2.365
"""Student's t for 95 % and seven degrees of freedom. Source: common tables of statistics."""

_PIXELS: Final = 4096
"""Pixels that the noise is judged by, evenly over the picture."""

Of = Callable[..., NDArray[Any]]
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
    """Return the mean of a map over the pixels, as endless paths would give it, with its certainty.

    Each batch is left out in turn, of all pictures: the same batch of each follows the same
    chances.

    Parameters
    ----------
    of
        Gives a distance, or a difference of distances, for each pixel by itself, shape (height,
        width); asked for pictures laid on top of one another too.
    pictures
        Of :data:`~primecoat.proof.paths.picture.BATCHES` batches each.
    signed
        Whether it may be below 0; a distance is not.
    """
    everything = tuple(range(BATCHES))
    rest = [tuple(n for n in everything if n != left) for left in everything]
    few = [_thinned(one) for one in pictures]
    known = _means(of, few, _looked_at())
    whole = known
    if few[0].surface.size < pictures[0].surface.size:  # one by one: they may be large
        whole = {kept: _means(of, pictures, [kept])[kept] for kept in (everything, *rest)}
    noise = _noise(known, everything)
    left = np.array([whole[kept] - _noise(known, kept) for kept in rest])
    spread = np.sqrt((BATCHES - 1) / BATCHES * np.sum((left - left.mean()) ** 2))
    value = whole[everything] - noise
    return Figure(
        value=float(value if signed else max(0.0, value)),
        within=float(np.hypot(_SURE * spread, noise)),
    )


def _means(of: Of, pictures: Sequence[Rendered], sets: Sequence[Batches]) -> dict[Batches, float]:
    """Return the mean of the map by each set of batches, all asked for at once."""
    laid = []
    for one in pictures:
        means = [one.batches[list(kept)].mean(axis=0, dtype=np.float64) for kept in sets]
        surface = np.tile(one.surface, (len(sets), 1))
        rows = np.concatenate(means, axis=1, dtype=np.float32)[None]
        laid.append(Rendered(batches=rows, surface=surface, samples=one.samples))
    parts = np.split(np.asarray(of(*laid), np.float64), len(sets))
    return {kept: float(part.mean()) for kept, part in zip(sets, parts, strict=True)}


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
