"""Paths of light against what is known without tracing: furnaces, cavities, single bounces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.balls_of_rays import WHITE, ball, light_seen, stage

from primecoat.proof.paths.carried import BASES, CHANNELS, carried, seen
from primecoat.proof.paths.model import Distant, Input, Mesh, Point, Surface
from primecoat.proof.paths.spectral_basis import spectral_basis
from primecoat.proof.paths.trace import prepare, trace

DARK = Input(factor=(0.0, 0.0, 0.0))


def matte(*colour: float, emission: Input = DARK) -> Surface:
    return Surface(name="clay", base_color=Input(factor=colour), gloss=0.0, emission=emission)


@pytest.mark.parametrize("reflectance", [0.2, 0.8, 1.0])
def test_furnace(reflectance: float):
    """A matte ball in even light of 1 shows its reflectance, in every channel."""
    light, met = light_seen(stage(ball(matte(*[reflectance] * 3)), lights=(WHITE,)))
    on_it = light[met == 0]
    error = on_it.std(axis=0) / np.sqrt(len(on_it))
    assert np.abs(on_it.mean(axis=0) - reflectance).max() < 4 * error.max() + 1e-4


@pytest.mark.parametrize(("metalness", "roughness"), [(1.0, 0.1), (1.0, 0.6), (0.0, 0.2)])
def test_no_surface_makes_light(metalness: float, roughness: float):
    """White glaze and metal in even light of 1 give back no more than 1, within noise; GGX
    without light between its facets loses some where it is rough (common practice, no source)."""
    surface = Surface(
        name="glaze",
        base_color=Input(factor=(1.0, 1.0, 1.0)),
        metalness=Input(factor=(metalness,)),
        roughness=Input(factor=(roughness,)),
    )
    light, met = light_seen(stage(ball(surface), lights=(WHITE,)), 16)
    mean = float(light[met == 0].mean())
    assert 0.75 < mean < 1.06


@pytest.mark.parametrize("reflectance", [0.3, 0.7])
def test_closed_cavity(reflectance: float):
    """Light between walls of reflectance r comes to 1 / (1 - r) of what they send, by band."""
    colour = (reflectance, reflectance / 2, 0.1)
    wall = matte(*colour, emission=Input(factor=(1.0, 1.0, 1.0)))
    light, _ = light_seen(stage(ball(wall, 10.0)), 8, bounces=80, size=40)
    wanted = 1.0 / (1.0 - carried(np.array([colour]))[0])
    assert light.mean(axis=0) == pytest.approx(wanted, rel=0.01)


def test_white_stays_white_in_every_basis():
    light, met = light_seen(stage(ball(matte(0.5, 0.5, 0.5)), lights=(WHITE,)), 2)
    whites = [seen(light, basis)[met == 0] for basis in BASES]
    for one in whites[1:]:
        assert one == pytest.approx(whites[0], rel=2e-4)


def test_one_bounce_is_the_product_of_spectra():
    """A warm lamp on a blue ball: the integral over the CIE's tables, computed here by hand."""
    lamp, clay = np.array([1.0, 0.6, 0.3]), np.array([0.1, 0.2, 0.7])
    sun = Distant(toward=(0.0, 0.0, 1.0), irradiance=tuple(lamp))
    light, met = light_seen(stage(ball(matte(*clay)), lights=(sun,)), 1, bounces=1, size=3)
    assert met[4] == 0
    observer, daylight = published_tables()
    curves = spectral_basis().reflectance
    power = daylight * (curves @ lamp) * (curves @ clay) / np.pi
    wanted = observer.T @ power / (observer[:, 1] @ daylight)
    assert seen(light, "spectral")[4] == pytest.approx(wanted, rel=2e-3)
    for name, matrix in (("rec709", np.eye(3)), ("ap1", _REC709_TO_AP1)):
        product = (matrix @ lamp) * (matrix @ clay) / np.pi
        back = np.linalg.inv(matrix) @ product
        assert seen(light, name)[4] == pytest.approx(_REC709_TO_XYZ @ back, rel=2e-3)


def published_tables() -> tuple[np.ndarray, np.ndarray]:
    """Return the CIE 1931 observer, shape (36, 3), and D65, (36,), as colour-science has them.

    Source: ISO/CIE 11664-1 and -2, the tables of that library, at 380 to 730 nm by 10.
    """
    import colour

    bands = [float(nm) for nm in spectral_basis().wavelengths]
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    daylight = colour.SDS_ILLUMINANTS["D65"]
    return np.array([observer[nm] for nm in bands]), np.array([daylight[nm] for nm in bands])


@pytest.mark.parametrize("sheets", [0, 1, 3])
def test_sheets_let_their_share_of_light_through(sheets: int):
    """Each sheet of opacity 0.25 leaves three quarters of a lamp's light, and of a sky's.

    Source: glTF 2.0, "alpha coverage": what is not covered is seen, and lit, through.
    """
    glaze = replace(matte(0.0, 0.0, 0.0), opacity=Input(factor=(0.25,)))
    floor = square(0.0, matte(0.6, 0.6, 0.6))
    above = [square(1.0 + height, glaze) for height in range(sheets)]
    for light, whole in (
        (Distant(toward=(0.0, 1.0, 0.0), irradiance=(np.pi,) * 3), 1.0),
        (Point(place=(0.0, 8.0, 0.0), intensity=(64.0 * np.pi,) * 3), 1.0),
        (WHITE, 1.0),
        (Point(place=(0.0, 0.9, 0.0), intensity=(0.81 * np.pi,) * 3), 0.75**-sheets),  # below
    ):
        ways = np.tile(np.array((0.0, -1.0, 0.0), np.float32), (20000, 1))
        starts = np.tile(np.array((0.0, 0.5, 0.0), np.float32), (20000, 1))
        made = prepare(stage(floor, *above, lights=(light,)))
        found, _ = trace(made, starts, ways, np.random.default_rng(3), bounces=8)
        assert float(found[:, 0].mean()) == pytest.approx(0.6 * whole * 0.75**sheets, rel=0.02)


@pytest.mark.parametrize("opacity", [1.0, 0.25])
@pytest.mark.parametrize(("height", "kept"), [(0.7, True), (4.5, True), (7.9, True), (8.1, False)])
def test_a_sheet_keeps_light_only_between_a_lamp_and_the_floor(
    opacity: float, height: float, kept: bool
):
    """A lamp 8 metres up: near the floor, beyond the middle, just below the lamp, above it."""
    glaze = replace(matte(0.0, 0.0, 0.0), opacity=Input(factor=(opacity,)))
    lamp = Point(place=(0.0, 8.0, 0.0), intensity=(64.0 * np.pi,) * 3)
    floor = square(0.0, matte(0.6, 0.6, 0.6))
    ways = np.tile(np.array((0.0, -1.0, 0.0), np.float32), (400, 1))
    starts = np.tile(np.array((0.0, 0.5, 0.0), np.float32), (400, 1))
    made = prepare(stage(floor, square(height, glaze), lights=(lamp,)))
    found, _ = trace(made, starts, ways, np.random.default_rng(3), bounces=4)
    wanted = 0.6 * (1.0 - opacity) if kept else 0.6
    assert float(found[:, 0].mean()) == pytest.approx(wanted, abs=1e-4)


def square(height: float, surface: Surface) -> Mesh:
    """Return a square a hundred metres wide."""
    wide = 50.0
    corners = [(-wide, height, -wide), (wide, height, -wide), (-wide, height, wide)]
    corners.append((wide, height, wide))
    return Mesh(
        points=np.array(corners, np.float32),
        triangles=np.array(((0, 2, 1), (1, 2, 3)), np.int32),
        surface=surface,
    )


def test_round_trip_of_colours_through_spectra():
    """Within 1e-3 for a grid over Rec.709, and no reflectance outside 0 to 1."""
    steps = np.linspace(0, 1, 9)
    colours = np.stack(np.meshgrid(steps, steps, steps), -1).reshape(-1, 3)
    as_carried = carried(colours)
    back = seen(as_carried, "spectral") @ np.linalg.inv(_REC709_TO_XYZ).T
    assert np.abs(back - colours).max() < 1e-3
    bands = as_carried[:, 6:]
    assert bands.shape[1] == CHANNELS - 6
    assert (bands.min() >= 0.0, bands.max() <= 1.0 + 1e-6) == (True, True)


def test_basis_is_smoother_than_the_published_one():
    """The same problem as Mallett and Yuksel's; their solution at 5 nm, from colour-science."""
    import colour

    theirs = colour.recovery.MSDS_BASIS_FUNCTIONS_sRGB_MALLETT2019
    wavelengths = spectral_basis().wavelengths
    published = np.array([theirs[float(nm)] for nm in wavelengths])
    assert published.sum(axis=1) == pytest.approx(np.ones(len(wavelengths)), abs=1e-6)

    def steps(curves: np.ndarray) -> float:
        return float((np.diff(curves, axis=0) ** 2).sum())

    assert steps(spectral_basis().reflectance) < steps(published)


# Color Interop Forum, Texture Assets v1.1.0; IEC 61966-2-1 with white (0.3127, 0.3290)
_REC709_TO_AP1 = np.array(
    [
        [0.613097402, 0.339523146, 0.047379451],
        [0.070193722, 0.916353879, 0.013452398],
        [0.020615590, 0.109569773, 0.869814636],
    ]
)
_REC709_TO_XYZ = np.array(
    [
        [0.412390799, 0.357584339, 0.180480788],
        [0.212639006, 0.715168679, 0.072192315],
        [0.019330819, 0.119194780, 0.950532152],
    ]
)
