"""Correlated colour temperature and Duv against published figures."""

from __future__ import annotations

import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.primaries import ACES_WHITE, D65, Chromaticity
from primecoat.colour.temperature import FARTHEST, temperature_of

PLANCK = [row for row in rows("planckian-locus__planck-law.csv") if float(row["kelvin"]) > 1000]
ROBERTSON = [
    row for row in rows("planckian-locus__robertson-1968.csv") if 50 <= float(row["mired"]) <= 500
]
DAYLIGHT = rows("daylight-locus__cie-15.csv")


def xy_of(u: float, v: float) -> Chromaticity:
    """Return x and y of CIE 1960 u and v."""
    scale = 2 * u - 8 * v + 4
    return 3 * u / scale, 2 * v / scale


@pytest.mark.parametrize("point", PLANCK, ids=[p["kelvin"] for p in PLANCK])
def test_black_bodies_have_their_own_temperature(point):
    """Planck's law summed every nanometre; six decimals are 1e-6 in x, up to 0.02 % in kelvin."""
    found = temperature_of((float(point["x"]), float(point["y"])))
    assert found.kelvin == pytest.approx(float(point["kelvin"]), rel=3e-4)
    assert abs(found.duv) < 5e-6


@pytest.mark.parametrize("point", ROBERTSON, ids=[f"{p['mired']} mired" for p in ROBERTSON])
def test_published_table(point):
    """Robertson 1968, five digits of u and v: half a mired."""
    found = temperature_of(xy_of(float(point["u"]), float(point["v"])))
    assert found.kelvin is not None
    assert 1e6 / found.kelvin == pytest.approx(float(point["mired"]), abs=0.5)
    assert abs(found.duv) < 3e-5


def test_white_of_aces():
    """6000.04 K: ACES documentation, Derivation of the ACES White Point, table 4, Ohno's method."""
    assert temperature_of(ACES_WHITE).kelvin == pytest.approx(6000.04, abs=0.1)


def test_d65():
    """6504 K by its definition (CIE 15); Duv 0.0032 (ANSI C78.377, from memory)."""
    found = temperature_of(D65)
    assert found.kelvin == pytest.approx(6504, abs=1)
    assert found.duv == pytest.approx(0.0032, abs=5e-5)


@pytest.mark.parametrize("point", DAYLIGHT, ids=[p["locus"] + p["kelvin"] for p in DAYLIGHT])
def test_daylight_keeps_its_nominal_temperature_and_is_greenish(point):
    """CIE 15: the polynomials are in correlated colour temperature; they hold it to 0.3 %."""
    found = temperature_of((float(point["x"]), float(point["y"])))
    if float(point["kelvin"]) == 25000:  # at the end of the range: the nearest may lie beyond it
        assert found.kelvin is None or found.kelvin == pytest.approx(25000, rel=0.02)
        return
    assert found.kelvin == pytest.approx(float(point["kelvin"]), rel=0.003)
    assert 0.001 < found.duv < 0.006


def test_nothing_on_a_fine_locus_is_nearer():
    from primecoat.colour.locus import planckian_xy

    def uv(x: float, y: float) -> np.ndarray:
        return np.array([4 * x, 6 * y]) / (-2 * x + 12 * y + 3)

    locus = np.array([uv(*planckian_xy(k)) for k in np.linspace(1000, 25000, 4001)])
    random = np.random.default_rng(3)
    for x, y in random.uniform((0.25, 0.25), (0.55, 0.45), (40, 2)):
        nearest = np.hypot(*(locus - uv(x, y)).T).min()
        assert abs(temperature_of((x, y)).duv) <= nearest + 1e-9


def test_no_temperature_far_from_a_black_body_or_beyond_the_ends():
    assert temperature_of((0.64, 0.33)).kelvin is None  # red of Rec.709
    assert temperature_of((0.30, 0.60)).kelvin is None
    beyond = temperature_of((0.2450, 0.2450))
    assert beyond.kelvin is None
    assert abs(beyond.duv) < FARTHEST
