"""Percentiles of a stream against numpy over the whole, and exposure that outliers do not move."""

from __future__ import annotations

import numpy as np
import pytest

from primecoat.renders.exposure import stops_between
from primecoat.renders.histogram import RELATIVE_ERROR, Histogram


@pytest.mark.parametrize("scale", [1e-6, 1.0, 1e4])
def test_percentiles_are_those_of_the_whole(scale):
    values = (np.random.default_rng(1).lognormal(0, 2, 300_000) * scale).astype(np.float32)
    counts, others = Histogram(), Histogram()
    for part in np.array_split(values[:100_000], 7):
        counts.add(part)
    others.add(values[100_000:])
    counts.merge(others)
    for percent in (1, 50, 95, 99, 100):
        wanted = np.percentile(values, percent, method="inverted_cdf")
        assert counts.percentile(percent) == pytest.approx(wanted, rel=RELATIVE_ERROR)
    found = counts.spread()
    assert found.mean == pytest.approx(values.mean(dtype=np.float64))
    assert found.max == values.max()
    assert counts.rms == pytest.approx(np.sqrt(np.mean(values.astype(np.float64) ** 2)))
    middle = float(np.median(values))
    assert counts.share_above(middle) == pytest.approx(0.5, abs=0.001)


def test_stops_are_not_moved_by_a_third_that_shows_something_else():
    light = np.random.default_rng(1).uniform(0.05, 1, 30_000).astype(np.float32)
    other = light * np.float32(2**0.25)
    other[::3] *= np.random.default_rng(2).uniform(0.1, 10, 10_000).astype(np.float32)
    assert stops_between(light, other).median == pytest.approx(0.25, abs=0.002)


def test_stops_of_black_are_none():
    black = np.zeros(10, np.float32)
    assert stops_between(black, black).pixels == 0
