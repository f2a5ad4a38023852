"""CIEDE2000 and L*a*b* against the published pairs and against another library."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.primaries import D65, xy_to_xyz

PAIRS = rows("colour-difference__sharma-2005.csv")


def ends(pair: dict[str, str]) -> tuple[list[float], list[float]]:
    one, other = ([float(pair[f"{axis}{end}"]) for axis in "Lab"] for end in "12")
    return one, other


def test_all_published_pairs_are_there():
    assert len(PAIRS) == 34


@pytest.mark.parametrize("pair", PAIRS, ids=[pair["pair"] for pair in PAIRS])
def test_published_pairs(pair):
    """Sharma, Wu and Dalal 2005, table 1: to the four decimals printed, both ways round."""
    one, other = ends(pair)
    wanted = pytest.approx(float(pair["dE00"]), abs=5.1e-5)
    assert float(ciede2000(one, other)) == wanted
    assert float(ciede2000(other, one)) == wanted


def test_many_pairs_against_colour_science():
    random = np.random.default_rng(7)
    one, other = random.uniform((0, -120, -120), (100, 120, 120), (2, 5000, 3))
    other[:2500] = one[:2500] + random.normal(0, 2, (2500, 3))  # half of them close together
    theirs = colour.difference.delta_E_CIE2000(one, other)
    np.testing.assert_allclose(ciede2000(one, other), theirs, atol=1e-9)


def test_lab_against_colour_science():
    random = np.random.default_rng(8)
    xyz = random.uniform(0, 1.2, (1000, 3)) ** 3
    theirs = colour.XYZ_to_Lab(xyz, np.array(D65))
    np.testing.assert_allclose(lab(xyz), theirs, atol=1e-9)
    assert lab(xy_to_xyz(D65)) == pytest.approx([100, 0, 0], abs=1e-12)


def test_a_colour_does_not_differ_from_itself():
    grid = np.stack(np.meshgrid(*[np.linspace(-100, 100, 9)] * 3), axis=-1)
    assert ciede2000(grid, grid).max() == 0.0
