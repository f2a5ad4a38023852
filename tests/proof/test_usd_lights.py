"""Lights of OpenUSD on a grey plate, against closed forms.

Sources: OpenUSD 26.11, UsdLux schema documentation (``LightAPI``: luminance is intensity times two
to the exposure; ``normalize`` divides it by the world-space area, that of a distant light by sin²
of half its angle times pi). Irradiance of a sphere, pi L r² / d², and of a disk on the axis,
pi L r² / (r² + d²): J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*,
B-20 and B-12 (numbers from memory; both follow from the projected solid angle).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.usd_scenes import GREY, PLATE, light_along, luminance, room, source, stage

from primecoat.proof.paths.dome import arriving, prepared
from primecoat.proof.paths.lamps import sent
from primecoat.proof.paths.model import Area, Distant, Dome, Point
from primecoat.proof.paths.scenario import today
from primecoat.proof.paths.turned_sky import turned_sky

DOWN = "float xformOp:rotateX = -90\n double3 xformOp:translate = (0, 2, 0)\n" + (
    'uniform token[] xformOpOrder = ["xformOp:translate", "xformOp:rotateX"]'
)
"""Two metres above the plate, -z down."""


def lamp(kind: str, inputs: str, schema: str = "") -> str:
    api = f' (prepend apiSchemas = ["{schema}"])' if schema else ""
    return f'{PLATE}\n    def {kind} "lamp"{api}\n    {{\n{DOWN}\n{inputs}\n    }}'


LIGHTS = {
    "sphere": ("SphereLight", "float inputs:radius = 0.5\n float inputs:intensity = 3", 3 / 16),
    "exposed": (
        "SphereLight",
        "float inputs:radius = 0.5\n float inputs:exposure = 2",
        4 / 16,
    ),
    "normalized sphere": (
        "SphereLight",
        "float inputs:radius = 0.5\n bool inputs:normalize = 1\n float inputs:intensity = 8",
        8 / math.pi / 16,
    ),
    "point": (
        "SphereLight",
        "float inputs:radius = 0.1\n bool treatAsPoint = 1\n float inputs:intensity = 300",
        300 * 0.01 / 4,
    ),
    "disk": ("DiskLight", "float inputs:radius = 1\n float inputs:intensity = 2", 2 / 5),
    "normalized disk": (
        "DiskLight",
        "float inputs:radius = 1\n bool inputs:normalize = 1\n float inputs:intensity = 2",
        2 / math.pi / 5,
    ),
    "distant": (
        "DistantLight",
        "float inputs:angle = 0.6\n bool inputs:normalize = 1\n float inputs:intensity = 2",
        2 / math.pi,
    ),
    "distant by radiance": (
        "DistantLight",
        "float inputs:angle = 0.6\n float inputs:intensity = 50000",
        50000 * math.sin(math.radians(0.3)) ** 2,
    ),
    "dome": ("DomeLight", "float inputs:intensity = 0.7", 0.7),
}


def rectangle(half: float, apart: float) -> float:
    """Return the share of pi L that a square on the axis gives (four corners of Howell B-4)."""
    a = half / apart
    root = math.sqrt(1 + a * a)
    return 4 * (2 * a / root * math.atan(a / root)) / (2 * math.pi)


LIGHTS["rectangle"] = (
    "RectLight",
    "float inputs:width = 3\n float inputs:height = 3\n float inputs:intensity = 2",
    2 * rectangle(1.5, 2),
)


@pytest.mark.parametrize("name", LIGHTS)
def test_light_on_a_plate(tmp_path, name):
    """Radiance of the plate is its grey times irradiance over pi."""
    kind, inputs, wanted = LIGHTS[name]
    made = stage(tmp_path, room(lamp(kind, inputs)))
    light = light_along(made, (0.3, 1.0, 0.0), (-0.287347886, -0.957826285, 0.0), 4000)
    assert luminance(light) == pytest.approx(GREY * wanted, rel=0.015)


def test_cylinder_far_away(tmp_path):
    """From far off a cylinder is a rectangle of its length and width."""
    inputs = "float inputs:radius = 0.02\n float inputs:length = 0.2\n float inputs:intensity = 900"
    made = stage(tmp_path, room(lamp("CylinderLight", inputs)))
    light = light_along(made, (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), 4000)
    assert luminance(light) == pytest.approx(GREY * 900 * 0.2 * 0.04 / 4 / math.pi, rel=0.02)


def test_centimetres_and_z_up_are_the_same_light(tmp_path):
    """A sphere light in metres with y up, and the same in centimetres with z up."""
    body = lamp("SphereLight", "float inputs:radius = 0.5\n bool inputs:normalize = 1")
    first = stage(tmp_path / "metres", room(body))
    turned = (
        body.replace(
            "(-5, 0, 5), (5, 0, 5), (5, 0, -5), (-5, 0, -5)",
            "(-500, -500, 0), (500, -500, 0), (500, 500, 0), (-500, 500, 0)",
        )
        .replace("float xformOp:rotateX = -90", "float xformOp:rotateX = 0")
        .replace("(0, 2, 0)", "(0, 0, 200)")
        .replace("radius = 0.5", "radius = 50\n float inputs:intensity = 1e4")
    )
    second = stage(tmp_path / "centimetres", room(turned, up="Z", metres=0.01))
    here, there = (
        light_along(made, (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), 2000) for made in (first, second)
    )
    assert there == pytest.approx(here, rel=1e-3)


def test_cone_falls_off_by_a_smooth_step_of_the_angle(tmp_path):
    """UsdLux ShapingAPI: half way between start and cut-off half of the light is left."""
    inputs = (
        "float inputs:radius = 0.1\n bool treatAsPoint = 1\n float inputs:intensity = 100\n"
        "float inputs:shaping:cone:angle = 60\n float inputs:shaping:cone:softness = 0.5"
    )
    (light,) = stage(tmp_path, room(lamp("SphereLight", inputs, "ShapingAPI"))).lights
    assert isinstance(light, Point)
    degrees = np.radians([0.0, 29.0, 45.0, 61.0])
    places = np.stack((2 * np.tan(degrees), 0 * degrees, 0 * degrees), axis=1).astype(np.float32)
    _, got, _ = sent(light, places, np.zeros((4, 2), np.float32))
    apart = np.square(2 / np.cos(degrees))
    whole = 100 * math.pi * 0.01
    assert got[:, 0] * apart == pytest.approx(np.array([1, 1, 0.5, 0]) * whole, abs=1e-4)


def test_a_sky_stands_as_openusd_says():
    """OpenUSD quotes OpenEXR: the middle column is +z, longitude +90 degrees, left of it, +x."""
    picture = np.zeros((8, 16, 3), np.float32)
    picture[:, 7:9, 0], picture[:, 3:5, 1], picture[0, :, 2] = 1.0, 1.0, 1.0
    ways = np.array([(0, 0, 1), (1, 0, 0), (0, 1, 0), (0, 0, -1)], np.float32)
    found, _ = arriving(prepared(Dome(radiance=picture)), ways)
    assert found.round().tolist() == [[1, 0, 0], [0, 1, 0], found[2].round().tolist(), [0, 0, 0]]
    assert found[2, 2] == 1.0
    about_y = turned_sky(picture, np.array([[0, 0, -1.0], [0, 1, 0], [1, 0, 0]]))
    found, _ = arriving(prepared(Dome(radiance=about_y)), ways)
    assert found[1].tolist() == [1, 0, 0]  # a quarter about y brings +z to +x


def test_kinds_of_light(tmp_path):
    """Each becomes what is traced; filters and the like are told."""
    kinds = ("RectLight", "DistantLight", "DiskLight", "PortalLight")
    prims = [f'    def {kind} "light_{kind}"\n    {{\n    }}' for kind in kinds]
    prims[0] = prims[0].replace("{\n", "{\nfloat inputs:shaping:focus = 2\n")
    found = source(tmp_path, room("\n".join((PLATE, *prims))))
    assert [type(one) for one in found.stage(today()).lights] == [Area, Distant, Area]
    assert any("PortalLight" in note for note in found.notes)
    assert any("shaping:focus" in note for note in found.notes)
