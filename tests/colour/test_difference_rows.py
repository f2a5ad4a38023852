"""CIEDE2000 in float32 against the published pairs and the float64 formula; ΔE ITP."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.difference import ciede2000, lab
from primecoat.colour.difference_rows import GREATEST_ERROR, Lab, ciede2000_rows, lab_rows
from primecoat.colour.itp import delta_e_itp, ictcp

PAIRS = rows("colour-difference__sharma-2005.csv")
ITP_PAIRS = rows("delta-e-itp__itu-r-bt-2124.csv")


def planes(end: str) -> Lab:
    lightness, a, b = (np.array([pair[f"{n}{end}"] for pair in PAIRS], np.float32) for n in "Lab")
    return lightness, a, b


@pytest.mark.parametrize("ends", [("1", "2"), ("2", "1")])
def test_published_pairs(ends):
    """Sharma, Wu and Dalal 2005, table 1, four decimals: all pairs within 0.0001."""
    found = ciede2000_rows(planes(ends[0]), planes(ends[1]))
    wanted = [float(pair["dE00"]) for pair in PAIRS]
    np.testing.assert_allclose(found, wanted, atol=1e-4)


@pytest.mark.parametrize("step", [0.001, 0.03, 1.0])
def test_many_display_colours_against_float64(step):
    random = np.random.default_rng(5)
    one = random.random((300_000, 3), np.float32)
    other = np.abs(one + random.normal(0, step, one.shape).astype(np.float32)).clip(0, 1)
    exact = ciede2000(lab(one), lab(other))
    error = np.abs(ciede2000_rows(lab_rows(one), lab_rows(other)) - exact)
    assert error.max() < GREATEST_ERROR
    assert error.mean() < 1e-4


def test_equal_colours_differ_by_nothing():
    light = np.random.default_rng(2).normal(0.5, 0.6, (100_000, 3)).astype(np.float32)
    assert not ciede2000_rows(lab_rows(light), lab_rows(light.copy())).any()


def test_greys_and_black_are_numbers():
    greys = np.linspace(0, 2, 1000, dtype=np.float32)[:, None] * np.array(
        [[0.9505, 1, 1.089]], "f4"
    )
    found = ciede2000_rows(lab_rows(greys), lab_rows(greys[::-1].copy()))
    assert np.isfinite(found).all()
    np.testing.assert_allclose(found, ciede2000(lab(greys), lab(greys[::-1])), atol=GREATEST_ERROR)


@pytest.mark.parametrize("pair", ITP_PAIRS, ids=[pair["label"] for pair in ITP_PAIRS])
def test_delta_e_itp_of_published_pairs(pair):
    """ITU-R BT.2124-0; pairs of the colour-science test suite."""
    one, other = ([float(pair[f"{axis}{end}"]) for axis in ("I", "Ct", "Cp")] for end in "12")
    found = float(delta_e_itp(np.array(one), np.array(other)))
    assert found == pytest.approx(float(pair["dE_ITP"]), abs=1e-6)


@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_ictcp_against_colour_science(kind):
    """The library's own ICtCp of ITU-R BT.2100 with PQ, for light up to 4000 cd/m²."""
    rgb = np.random.default_rng(3).random((2000, 3)) * 4000
    matrix = colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_RGB_to_XYZ
    theirs = colour.RGB_to_ICtCp(rgb, method="ITU-R BT.2100-2 PQ")
    ours = ictcp((rgb @ matrix.T / 100).astype(kind))
    np.testing.assert_allclose(ours, theirs, atol=2e-5)
