"""One colour in every space, against published numbers and between independent ways."""

from __future__ import annotations

import PyOpenColorIO as ocio
import pytest
from tests.colour.reference import matrices, rows

from primecoat.colour.ids import SPACES
from primecoat.colour.ocio import convert
from primecoat.colour.swatch import make_swatch, swatch_of
from primecoat.colour.white_balance import move_gains
from primecoat.errors import UseError

AP1, REC709 = "lin_ap1_scene", "lin_rec709_scene"
BUILTINS = [entry[0] for entry in ocio.BuiltinConfigRegistry().getBuiltinConfigs()]
PLANCK = {row["kelvin"]: row for row in rows("planckian-locus__planck-law.csv")}


def test_primaries_of_rec709_in_acescg():
    """Color Interop Forum, Texture Assets v1.1.0: the columns of the matrix are the primaries."""
    columns = matrices("matrices__color-interop-forum-rec01.csv")["rec709_to_ap1_bradford"].T
    for at, column in enumerate(columns):
        red, green, blue = (1.0 if at == i else 0.0 for i in range(3))
        found = make_swatch((red, green, blue), REC709).numbers(AP1)
        assert found == pytest.approx(column, abs=1e-6)


def test_hex_is_srgb_and_comes_back():
    """8-bit sRGB (200, 100, 50) in ACEScg, worked out from the published matrix and curve."""
    made = swatch_of("#c86432")
    wanted = (0.398892326458, 0.157749612091, 0.053614117265)
    assert made.numbers(AP1) == pytest.approx(wanted, abs=2e-6)
    codes = {found.space: found.codes for found in made.spaces}
    assert codes["srgb_rec709_scene"] == codes["srgb_rec709_display"] == (200, 100, 50)
    assert codes[AP1] is codes["pq_rec2020_display"] is None


def test_every_space_of_the_vocabulary_is_there_and_leads_back():
    given = (0.4, 0.2, 0.1)
    made = make_swatch(given, AP1)
    assert [found.space for found in made.spaces] == list(SPACES)
    for found in made.spaces:
        assert convert(found.rgb, found.space, AP1) == pytest.approx(given, abs=2e-5)


def test_chromaticity_of_white():
    """White of Rec.709 is D65, 0.3127 0.3290 (Rec. ITU-R BT.709); its luminance is 1."""
    made = swatch_of("ffffff")
    assert made.xy == pytest.approx((0.3127, 0.3290), abs=1e-6)
    assert made.xyz == pytest.approx((0.950456, 1.0, 1.089058), abs=1e-6)
    assert made.temperature is not None
    assert made.temperature.kelvin == pytest.approx(6504, abs=1)


def test_xyz_is_what_the_config_makes():
    made = make_swatch((0.4, 0.2, 0.1), AP1)
    assert made.xyz == pytest.approx(made.numbers("lin_ciexyzd65_scene"), abs=1e-6)


@pytest.mark.parametrize("kelvin", ["2000", "3200", "5000", "6500", "10000"])
def test_a_temperature_keeps_its_chromaticity(kelvin):
    """Planck's law, CIE 1931 2 degree observer, every nanometre."""
    made = swatch_of(f"{kelvin}K")
    row = PLANCK[kelvin]
    assert made.xy == pytest.approx((float(row["x"]), float(row["y"])), abs=5e-6)
    assert made.temperature is not None
    assert made.temperature.kelvin == pytest.approx(float(kelvin), rel=1e-4)
    assert made.xyz[1] == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("grey", "judgement"),
    # common practice, no source: sRGB codes 30 to 240
    [
        (29, "too dark"),
        (31, "plausible"),
        (128, "plausible"),
        (239, "plausible"),
        (241, "too light"),
    ],
)
def test_albedo(grey, judgement):
    assert swatch_of(f"#{grey:02x}{grey:02x}{grey:02x}").albedo == judgement


def test_albedo_of_what_no_surface_has():
    assert make_swatch((0.4, -0.1, 0.1), AP1).albedo == "no surface"
    assert make_swatch((1.2, 0.1, 0.1), AP1).albedo == "too light"


@pytest.mark.parametrize("config", BUILTINS)
def test_each_builtin_config(config):
    """Configs that lack a space leave it out; the numbers that remain are the same."""
    made = make_swatch((1.0, 0.0, 0.0), REC709, config=config)
    assert made.numbers(AP1) == pytest.approx((0.613097, 0.070194, 0.020616), abs=2e-6)
    assert len(made.spaces) >= 16
    assert made.xy == pytest.approx((0.64, 0.33), abs=1e-6)


def test_black_has_no_chromaticity():
    made = swatch_of("000000")
    assert made.xy is None
    assert made.temperature is None
    assert made.albedo == "too dark"
    assert all(found.inside for found in made.gamuts)


def test_wishes_that_contradict():
    view = "Un-tone-mapped"
    for text, more in (
        ("6500K", {"space": AP1}),
        ("6500K", {"against": view}),
        ("ff0000", {"against": view, "through": view}),
        ("0.1,0.1,0.1", {"against": view, "space": AP1}),
        ("0.1,0.1,0.1", {}),
        ("0.1,0.1,0.1", {"space": "srgb_rec709_display", "through": view}),
        ("0.1,0.1,0.1", {"space": "data"}),
    ):
        with pytest.raises(UseError):
            swatch_of(text, **more)


def test_gains_in_another_working_space():
    """The matrix does what the gains did; three numbers leave over what was measured for them."""
    moved = move_gains((1.2, 1.0, 0.8), REC709, AP1)
    colour = (0.3, 0.6, 0.2)
    there = convert(colour, REC709, AP1)
    by_matrix = [sum(m * c for m, c in zip(row, there, strict=True)) for row in moved.matrix]
    gained = tuple(g * c for g, c in zip(moved.gains, colour, strict=True))
    assert by_matrix == pytest.approx(convert(gained, REC709, AP1), abs=1e-6)
    left = moved.as_colour_residual
    # measured without this module, to two digits: 1.5, 9.7 and 35 %
    assert [round(left.median, 3), round(left.p95, 3), round(left.maximum, 2)] == [
        0.015,
        0.097,
        0.35,
    ]
    assert moved.best.residual.rms <= left.rms
