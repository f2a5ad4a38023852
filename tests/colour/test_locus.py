"""Colour temperatures against Planck's law, published tables and what UsdLux returns."""

from __future__ import annotations

import numpy as np
import pytest
from tests.colour.reference import rows

from primecoat.colour.ids import SPACES
from primecoat.colour.locus import USDLUX_6500_K, daylight_xy, planckian_xy, temperature_rgb
from primecoat.colour.ocio import convert
from primecoat.colour.primaries import (
    ACES_WHITE,
    D65,
    PRIMARIES,
    bradford_matrix,
    rgb_to_xyz_matrix,
    xyz_to_xy,
)
from primecoat.errors import UseError

AP1, REC709 = "lin_ap1_scene", "lin_rec709_scene"
PLANCK = rows("planckian-locus__planck-law.csv")
ROBERTSON = [
    row for row in rows("planckian-locus__robertson-1968.csv") if float(row["mired"]) >= 40
]
DAYLIGHT = rows("daylight-locus__cie-15.csv")
USDLUX = {float(r["kelvin"]): r for r in rows("blackbody-rgb__usdlux-26.11.csv")}


def uv(xy: tuple[float, float]) -> tuple[float, float]:
    """Return CIE 1960 u and v."""
    x, y = xy
    return 4 * x / (-2 * x + 12 * y + 3), 6 * y / (-2 * x + 12 * y + 3)


@pytest.mark.parametrize("point", PLANCK, ids=[p["kelvin"] for p in PLANCK])
def test_planckian_points(point: dict[str, str]):
    """Every 5 nm is enough: 3e-6 from Planck's law summed every nanometre (wanted: 1e-5)."""
    wanted = float(point["x"]), float(point["y"])
    assert planckian_xy(float(point["kelvin"])) == pytest.approx(wanted, abs=3e-6)


@pytest.mark.parametrize("point", ROBERTSON, ids=[f"{p['mired']} mired" for p in ROBERTSON])
def test_published_planckian_table(point: dict[str, str]):
    """Robertson's published locus (1968, c2 = 1.4388e-2, five digits) holds to 2e-5 in u and v."""
    wanted = float(point["u"]), float(point["v"])
    assert uv(planckian_xy(1e6 / float(point["mired"]))) == pytest.approx(wanted, abs=2e-5)


@pytest.mark.parametrize("point", DAYLIGHT, ids=[p["locus"] + p["kelvin"] for p in DAYLIGHT])
def test_daylight_points(point: dict[str, str]):
    """The polynomials of CIE 15, to the six decimals of the table."""
    wanted = float(point["x"]), float(point["y"])
    assert daylight_xy(float(point["kelvin"])) == pytest.approx(wanted, abs=6e-7)


@pytest.mark.parametrize(
    ("kelvin", "wanted"),
    # xy: CIE 15:2018; temperatures: ACES, Derivation of the ACES White Point, table 1
    [
        (5002.782, (0.34570, 0.35850)),
        (5503.060, (0.33243, 0.34744)),
        (6503.616, (0.31270, 0.32900)),
        (7504.172, (0.29903, 0.31488)),
    ],
)
def test_daylight_illuminants(kelvin: float, wanted: tuple[float, float]):
    """D50, D55, D65 and D75 lie on the locus within 2e-4, which is how far they were rounded."""
    assert daylight_xy(kelvin) == pytest.approx(wanted, abs=2e-4)


def test_daylight_halves_meet():
    """The two polynomials meet at 7000 K within 1e-4."""
    below, above = daylight_xy(7000.0), daylight_xy(np.nextafter(7000.0, 8000.0))
    assert below == pytest.approx(above, abs=1e-4)


def test_illuminant_a():
    """CIE illuminant A (0.44758, 0.40745; CIE 15:2018) is the black body of 2855.54 K, to 2e-5."""
    assert planckian_xy(2855.54) == pytest.approx((0.44758, 0.40745), abs=2e-5)


def test_tungsten_in_the_working_space():
    """A 3200 K Planckian light has the AP1 ratio 1.4625 : 1 : 0.4509 (Bradford, as textures)."""
    red, green, blue = temperature_rgb(3200, AP1)
    assert (red / green, blue / green) == pytest.approx((1.4625, 0.4509), abs=5e-5)
    from_rec709 = convert(temperature_rgb(3200, REC709), REC709, AP1)
    assert from_rec709 / from_rec709[1] == pytest.approx((red / green, 1.0, blue / green), abs=1e-6)


@pytest.mark.parametrize("kelvin", [1000, 2000, 3200, 6500, 10000, 25000])
def test_chromaticity_is_kept(kelvin: float):
    """Adapted back from the ACES white to D65, the light measures its own xy, to 1e-4."""
    xyz = rgb_to_xyz_matrix(PRIMARIES["ap1"]) @ temperature_rgb(kelvin, AP1)
    assert xyz[1] == pytest.approx(1.0, abs=1e-12)
    back = xyz_to_xy(bradford_matrix(ACES_WHITE, D65) @ xyz)
    assert back == pytest.approx(planckian_xy(kelvin), abs=1e-4)
    assert back == pytest.approx(planckian_xy(kelvin), abs=1e-12)


def test_what_a_meter_reads_moves():
    """Without going back, a 3200 K light in AP1 reads (0.0078, 0.0040) further, which is right."""
    to_xyz = rgb_to_xyz_matrix(PRIMARIES["ap1"])
    moved = np.subtract(xyz_to_xy(to_xyz @ temperature_rgb(3200, AP1)), planckian_xy(3200))
    assert moved == pytest.approx((0.0078, 0.0040), abs=5e-5)
    still = xyz_to_xy(to_xyz @ temperature_rgb(3200, AP1, adapt_from=None))
    assert still == pytest.approx(planckian_xy(3200), abs=1e-12)


@pytest.mark.parametrize("kelvin", [2000.0, 3200.0, 5000.0, 6500.0, 10000.0])
def test_agrees_with_usdlux(kelvin: float):
    """In Rec.709 the colour is what UsdLux's library returns (usd-core 26.11), to 0.001."""
    wanted = tuple(float(USDLUX[kelvin][c]) for c in ("red", "green", "blue"))
    assert temperature_rgb(kelvin, REC709) == pytest.approx(wanted, abs=1e-3)


def test_which_6500_k_is_followed():
    """The library's, not the documented white; and the words give the library's numbers."""
    followed = temperature_rgb(6500, REC709)
    assert max(abs(c - 1.0) for c in followed) > 0.03
    shown = ", ".join(f"{float(USDLUX[6500.0][c]):.4f}" for c in ("red", "green", "blue"))
    assert f"({shown})" in USDLUX_6500_K
    assert "follows the library" in USDLUX_6500_K


def test_candle_light_keeps_its_negative_blue():
    """1000 K is outside Rec.709, where UsdLux cuts it off, and inside AP1."""
    assert temperature_rgb(1000, REC709)[2] < 0.0 == float(USDLUX[1000.0]["blue"])
    assert min(temperature_rgb(1000, AP1)) > 0.0
    assert temperature_rgb(1890, REC709)[2] < 0.0 < temperature_rgb(1910, REC709)[2]


@pytest.mark.parametrize(
    ("kelvin", "change"), [(1000, 0.013), (3200, 0.004), (6500, 0.0), (25000, -0.004)]
)
def test_luminance_that_adaptation_moves(kelvin: float, change: float):
    """The Rec.709 colour of luminance 1 has this much more or less of it in AP1 (to 0.0005)."""
    luminance = rgb_to_xyz_matrix(PRIMARIES["ap1"])[1]
    converted = convert(temperature_rgb(kelvin, REC709), REC709, AP1)
    assert float(luminance @ converted) - 1.0 == pytest.approx(change, abs=5e-4)


def test_daylight_is_another_locus():
    """Daylight of 6504 K is white in every space; the black body is not."""
    for space in ("lin_rec709_scene", "lin_rec2020_scene", AP1):
        day = temperature_rgb(6503.616, space, locus="daylight")
        assert day == pytest.approx((1.0, 1.0, 1.0), abs=2e-3)
        assert max(abs(c - 1.0) for c in temperature_rgb(6503.616, space)) > 0.02


@pytest.mark.parametrize("kelvin", [0, -6500, 999.9, 25000.1, float("nan"), float("inf")])
def test_temperature_out_of_range(kelvin: float):
    """Refused on both loci, with the range in the message."""
    with pytest.raises(UseError, match="1000 to 25000 K"):
        planckian_xy(kelvin)
    with pytest.raises(UseError, match="4000 to 25000 K"):
        daylight_xy(kelvin)


def test_daylight_does_not_reach_lamps():
    """There is no daylight of 3200 K."""
    with pytest.raises(UseError, match="4000 to 25000 K"):
        temperature_rgb(3200, AP1, locus="daylight")


@pytest.mark.parametrize("space", ["srgb_rec709_scene", "pq_rec2020_display"])
def test_encoded_spaces_are_refused(space: str):
    """Light is linear; the message names the spaces that are."""
    assert not SPACES[space].linear
    with pytest.raises(UseError, match="lin_ap1_scene"):
        temperature_rgb(3200, space)
