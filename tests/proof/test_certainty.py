"""Figures of a proof against many seeds: how sure they are said to be, and how sure they are."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.test_proof_walls import box

from primecoat import jobs
from primecoat.proof.paths.certainty import Figure, figure
from primecoat.proof.paths.picture import Rendered, difference, render

BOX = box((0.8, 0.03, 0.02), (0.03, 0.5, 0.05))
SEEDS = range(100, 140)
SIZE = (6, 6)
HERE = jobs.Workplace(workers=1)
EXPOSURE = 1.5
"""About what brings the walls to mid-grey; the same for all, for it is no figure here."""


@cache
def pictures() -> tuple[Rendered, ...]:
    """Return pictures of few paths that know nothing of one another."""
    return tuple(render(BOX, SIZE, samples=8, seed=seed, workplace=HERE) for seed in SEEDS)


@cache
def closely() -> Rendered:
    """Return the same picture of 512 times as many paths."""
    return render(BOX, SIZE, samples=4096, seed=1, workplace=HERE)


Map = NDArray[Any]


def apart(basis: str) -> Callable[[Rendered], Map]:
    def of(one: Rendered) -> Map:
        seen = (one.xyz(name) * EXPOSURE for name in (basis, "spectral"))
        return difference(*seen)

    return of


def farther(one: Rendered) -> Map:
    return apart("rec709")(one) - apart("ap1")(one)


def bright(one: Rendered) -> Map:
    return one.xyz("ap1")[..., 1]


def covered(figures: list[Figure], true: float) -> float:
    return float(np.mean([abs(one.value - true) <= one.within for one in figures]))


def test_the_interval_of_a_mean_is_that_of_the_spread_over_seeds():
    """A mean of light has no noise in it that is taken for difference: 95 % is 95 %.

    Of 40 seeds 95 % are 38, and 33 or fewer come once in 300 times (binomial distribution); eight
    batches tell a spread within about a quarter of itself, forty within a ninth.
    """
    figures = [figure(bright, one) for one in pictures()]
    true = figure(bright, closely())
    spread = float(np.std([one.value for one in figures], ddof=1))
    assert true.within < spread / 4
    assert 34 / 40 <= covered(figures, true.value) <= 1.0
    said = np.sqrt(np.mean([one.within**2 for one in figures])) / 2.365
    assert said == pytest.approx(spread, rel=0.25)


@pytest.mark.parametrize("of", [apart("rec709"), apart("ap1"), farther])
def test_what_endless_paths_give_lies_inside_the_interval(of: Callable[[Rendered], Map]):
    signed = of is farther
    figures = [figure(of, one, signed=signed) for one in pictures()]
    true = figure(of, closely(), signed=signed).value
    assert covered(figures, true) >= 35 / 40
    # a plain mean over the pixels takes noise for difference; most of that is gone
    plain = np.mean([of(one).mean() for one in pictures()]) - true
    left = np.mean([one.value for one in figures]) - true
    assert abs(left) < 0.5 * abs(plain)
    # and no wider than it must be: as far as the noise goes, and the spread
    spread = np.std([one.value for one in figures])
    assert np.median([one.within for one in figures]) < 2 * np.hypot(2.365 * spread, plain)


def test_noise_alone_is_no_difference():
    """Two pictures of the same walls by other chances: a plain mean says 10 of CIEDE2000."""

    def of(one: Rendered, other: Rendered) -> Map:
        return difference(one.xyz("ap1") * EXPOSURE, other.xyz("ap1") * EXPOSURE)

    pairs = list(zip(pictures()[:20:2], pictures()[1:20:2], strict=True))
    plain = np.mean([of(*pair).mean() for pair in pairs])
    found = [figure(of, *pair) for pair in pairs]
    assert plain > 5.0
    assert np.mean([one.value for one in found]) < 0.25 * plain
    assert not any(one.sure for one in found)
    for one, pair in zip(found, pairs, strict=True):
        assert one.within > 0.9 * (
            of(*pair).mean() - one.value
        )  # what was taken off stays uncertain


def test_a_difference_without_noise_is_told_as_it_is():
    """The same paths, once as they are and once half as bright, in one picture and in larger."""
    one = pictures()[0]
    half = Rendered(batches=one.batches * np.float32(0.5), surface=one.surface, samples=8)

    def stops(first: Rendered, second: Rendered) -> Map:
        return np.asarray(np.log2(bright(first) / bright(second)))

    found = figure(stops, one, half)
    assert found.value == pytest.approx(1.0, abs=1e-6)
    assert found.within < 1e-5
    assert found.sure
    tiled = Rendered(
        batches=np.tile(one.batches, (1, 1, 12, 12, 1)),
        surface=np.tile(one.surface, (12, 12)),
        samples=8,
    )  # more pixels than the noise is judged by
    whole, small = figure(bright, tiled), figure(bright, one)
    assert (whole.value, whole.within) == pytest.approx((small.value, small.within), rel=1e-4)
