"""What is left over when colours that are multiplied are converted one by one."""

from __future__ import annotations

import numpy as np
import pytest

from primecoat.colour.ocio import convert
from primecoat.colour.primaries import primaries_of, rgb_to_rgb_matrix
from primecoat.colour.products import (
    REFLECTANCES,
    Residual,
    best_gains,
    gains_matrix,
    product_residual,
    residual_of,
)
from primecoat.errors import UseError

REC709, AP1 = "lin_rec709_scene", "lin_ap1_scene"
GAINS = (1.2, 1.0, 0.8)


def percent(residual: Residual) -> tuple[float, float, float]:
    """Return median, 95 % and maximum in per cent."""
    return 100.0 * residual.median, 100.0 * residual.p95, 100.0 * residual.maximum


def test_gains_nobody_converted():
    """Gains 1.2, 1, 0.8 kept as they are: 3.7, 16 and 45 % (median, 95 %, greatest)."""
    found = percent(residual_of(GAINS, GAINS, REC709, AP1))
    assert found == pytest.approx((3.7, 16.0, 45.0), abs=0.5)
    assert found[0] == pytest.approx(3.7, abs=0.05)


def test_gains_converted_as_a_colour():
    """The same gains converted like a colour: 1.5, 9.7 and 35 %."""
    found = percent(product_residual(GAINS, REC709, AP1))
    assert found == pytest.approx((1.45, 9.75, 34.7), abs=0.05)


def test_random_texture_times_random_tint():
    """A million random products: 4.2 % median, 48 % at 95 % (uniform in linear Rec.709)."""
    draw = np.random.default_rng(1)
    texture, tint = draw.random((1_000_000, 3)), draw.random((1_000_000, 3))
    exact = convert(texture * tint, REC709, AP1)
    used = convert(texture, REC709, AP1) * convert(tint, REC709, AP1)
    errors = np.abs(used - exact) / exact
    median, p95 = np.quantile(errors, (0.5, 0.95))
    assert (median, p95) == pytest.approx((0.042, 0.48), abs=0.005)
    assert median == pytest.approx(0.042, abs=0.0005)


def test_residual_is_what_the_same_sum_by_hand_says():
    """Over the stated set, each error is that of one product converted by OpenColorIO."""
    assert REFLECTANCES.startswith("20,000 reflectances, uniform")
    tint = np.array([0.9, 0.35, 0.1])
    texture = np.random.default_rng(0).random((20_000, 3))
    exact = convert(texture * tint, REC709, AP1).astype(np.float64)
    used = convert(texture, REC709, AP1).astype(np.float64) * convert(tint, REC709, AP1)
    errors = np.abs(used - exact) / exact
    found = product_residual(tint, REC709, AP1)
    assert (found.median, found.p95) == pytest.approx(np.quantile(errors, (0.5, 0.95)), rel=1e-5)
    assert found.maximum == pytest.approx(errors.max(), rel=1e-5)
    assert found.rms == pytest.approx(np.sqrt((errors**2).mean()), rel=1e-5)


@pytest.mark.parametrize("target", [AP1, "lin_rec2020_scene", "lin_ap0_scene", REC709])
def test_grey_leaves_nothing_over(target: str):
    """A grey tint, a scale, and no change of space are exact; black is too."""
    for grey in (0.0, 0.18, 1.0, 7.5):
        assert product_residual((grey,) * 3, REC709, target).maximum <= 1e-6
    assert product_residual(GAINS, target, target).maximum <= 1e-6


def test_scale_does_not_matter():
    """A light of 1000 times the strength has the same relative residual."""
    dim, bright = (product_residual(np.array(GAINS) * s, REC709, AP1) for s in (1e-3, 1e3))
    assert dim.p95 == pytest.approx(bright.p95, rel=1e-9)


def test_a_grey_surface_stays_right_when_the_tint_is_converted():
    """On a grey texture the converted tint is exact; the gains nobody converted are not."""
    grey = np.full(3, 0.18)
    exact = convert(grey * GAINS, REC709, AP1)
    used = convert(grey, REC709, AP1) * convert(GAINS, REC709, AP1)
    assert used == pytest.approx(exact, rel=1e-6)
    assert convert(grey, REC709, AP1) * GAINS != pytest.approx(exact, rel=0.05)


def test_smaller_gamut_stays_finite():
    """Into a smaller gamut, channels cross zero; the figures stay finite and tell it."""
    found = product_residual((0.1, 0.9, 0.2), AP1, REC709)
    assert np.isfinite([found.median, found.p95, found.maximum, found.rms]).all()
    assert found.p95 > product_residual((0.1, 0.9, 0.2), REC709, AP1).p95 > 0.0


@pytest.mark.parametrize("gains", [GAINS, (2.0, 1.0, 1.4), (0.0, 1.0, 0.0), (1.0, 1.0, 1.0)])
@pytest.mark.parametrize(
    ("source", "target"), [(REC709, AP1), (AP1, REC709), ("lin_p3d65_scene", "lin_rec2020_scene")]
)
def test_matrix_is_exact(gains: tuple[float, float, float], source: str, target: str):
    """Gains as a 3 by 3 matrix: products agree to 1e-6, on any colour, also outside [0, 1]."""
    matrix = gains_matrix(gains, source, target)
    texture = np.random.default_rng(5).uniform(-0.1, 1.0, (5000, 3))
    exact = convert(texture * gains, source, target)
    used = convert(texture, source, target) @ matrix.T
    assert np.abs(used - exact).max() <= 1e-6 * np.abs(exact).max()
    change = rgb_to_rgb_matrix(primaries_of(source), primaries_of(target))
    float64 = change @ np.diag(gains) @ np.linalg.inv(change)
    assert np.abs(matrix - float64).max() <= 1e-6 * max(1.0, np.abs(float64).max())


@pytest.mark.parametrize("gains", [GAINS, (2.0, 1.0, 1.4), (0.9, 0.35, 0.1)])
def test_no_other_gains_leave_less_over(gains: tuple[float, float, float]):
    """Around the best gains, in each direction, the mean square error is greater."""
    best = best_gains(gains, REC709, AP1)
    for axis in range(3):
        for step in (0.99, 1.01):
            other = np.array(best.gains)
            other[axis] *= step
            assert residual_of(other, gains, REC709, AP1).rms > best.residual.rms
    assert residual_of(gains, gains, REC709, AP1).rms > best.residual.rms
    assert product_residual(gains, REC709, AP1).rms > best.residual.rms


def test_best_gains_and_what_they_leave_over():
    """For 1.2, 1, 0.8: 1.9 % median, 8.5 % at 95 %, 33 % (measured); greys lose 1.3 % of red."""
    best = best_gains(GAINS, REC709, AP1)
    assert best.gains == pytest.approx((1.0992, 1.0170, 0.8416), abs=1e-3)
    assert percent(best.residual) == pytest.approx((1.9, 8.54, 33.0), abs=0.1)
    assert best.residual == residual_of(best.gains, GAINS, REC709, AP1)
    lost = 1.0 - best.gains[0] / float(convert(GAINS, REC709, AP1)[0])
    assert lost == pytest.approx(0.0125, abs=0.001)


def test_black_gains_are_black():
    """Gains of 0 are exact and no division by zero."""
    best = best_gains((0.0, 0.0, 0.0), REC709, AP1)
    assert (best.gains, best.residual.maximum) == ((0.0, 0.0, 0.0), 0.0)


@pytest.mark.parametrize(
    "gains", [(1.0, 1.0), (1.0, -0.1, 1.0), (1.0, float("nan"), 1.0), (np.inf, 1.0, 1.0), ()]
)
def test_what_are_no_gains(gains: tuple[float, ...]):
    """Gains are three numbers, finite and not negative."""
    for verb in (product_residual, gains_matrix, best_gains):
        with pytest.raises(UseError, match="no gains"):
            verb(gains, REC709, AP1)


@pytest.mark.parametrize(
    "pair", [("srgb_rec709_scene", AP1), (REC709, "srgb_ap1_scene"), (REC709, "data")]
)
def test_only_light_multiplies(pair: tuple[str, str]):
    """A product of encoded numbers is no product of colours."""
    for verb in (product_residual, gains_matrix, best_gains):
        with pytest.raises(UseError, match="no linear colour space"):
            verb(GAINS, *pair)
