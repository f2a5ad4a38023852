"""What pictures show beyond their edges, and polygons that are not convex.

Wraps are those of OpenGL 4.6, section 8.14.2 ("Coordinate Wrapping and Texel Selection"), which
glTF 2.0 names by its numbers; NumPy's ``pad`` does the same by its modes wrap, edge and symmetric.
Areas and insides of polygons: the shoelace formula, and the rule of even and odd crossings.
"""

from __future__ import annotations

import base64
from typing import Literal

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.test_usd_stage import PICTURED, painted, seen_at
from tests.proof.usd_scenes import room, source, stage
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.proof.paths.met import looked_up
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.scenario import today
from primecoat.scenes.usd.ears import ears, hollow
from primecoat.scenes.wrapping import Wrap

PADDING: dict[Wrap, Literal["wrap", "edge", "symmetric", "constant"]] = {
    "repeat": "wrap",
    "clamp": "edge",
    "mirror": "symmetric",
    "black": "constant",
}
PICTURE = np.random.default_rng(8).random((3, 5, 2), np.float32)


@pytest.mark.parametrize("across", PADDING)
@pytest.mark.parametrize("down", PADDING)
def test_pixels_beyond_the_edges_are_those_of_a_padded_picture(across, down):
    """At the middles of pixels, two pictures away to each side."""
    rows = np.pad(PICTURE, ((6, 6), (0, 0), (0, 0)), PADDING[down])
    whole = np.pad(rows, ((0, 0), (10, 10), (0, 0)), PADDING[across])
    y, x = np.mgrid[: whole.shape[0], : whole.shape[1]]
    uv = np.stack(((x - 10 + 0.5) / 5, (y - 6 + 0.5) / 3), axis=-1).reshape(-1, 2)
    found = looked_up(PICTURE, uv, wraps=(across, down)).reshape(whole.shape)
    assert np.abs(found - whole).max() < 1e-4


SCALED = "float2 inputs:scale = (2, 1)"
"""The picture covers the left half of the plate; right of it is what lies beyond its edge."""


@pytest.mark.parametrize(
    ("wrap", "grey"),
    [("", 0.1), ("repeat", 0.1), ("clamp", 0.2), ("mirror", 0.2), ("useMetadata", 0.1)],
)
def test_usd_texture_goes_on_as_it_says(tmp_path, wrap, grey):
    painted(tmp_path / "paint.png")
    text = PICTURED.replace("FILE", "paint.png").replace("TURN", SCALED)
    said = f'token inputs:wrapS = "{wrap}"\n            token inputs:source'
    text = text.replace("token inputs:source", said) if wrap else text
    # upper part of the plate, a quarter of the picture beyond its right edge
    assert seen_at(stage(tmp_path, room(text)), 0.6, 0.75) == pytest.approx(grey, rel=0.03)


def test_black_beyond_a_usd_texture(tmp_path):
    """Nothing is there, so what is cut out by its alpha is open: the sky of 1 is seen."""
    painted(tmp_path / "paint.png")
    text = PICTURED.replace("FILE", "paint.png").replace("TURN", SCALED)
    text = text.replace(
        "token inputs:source", 'token inputs:wrapS = "black"\n            token inputs:source'
    )
    assert seen_at(stage(tmp_path, room(text)), 0.75, 0.75) == pytest.approx(1.0)


def one_triangle():
    corners = np.eye(3, dtype="<f4").tobytes()
    uri = "data:application/octet-stream;base64," + base64.b64encode(corners).decode()
    accessor = {"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"}
    primitive = {"attributes": {"POSITION": 0, "TEXCOORD_0": 1}, "material": 0}
    return {
        "buffers": [{"uri": uri, "byteLength": len(corners)}],
        "bufferViews": [{"buffer": 0, "byteLength": len(corners)}],
        "accessors": [accessor, accessor | {"type": "VEC2"}],
        "meshes": [{"primitives": [primitive]}],
        "nodes": [{"mesh": 0}],
        "scenes": [{"nodes": [0]}],
        "scene": 0,
    }


@pytest.mark.parametrize(
    ("sampler", "wraps"),
    [
        ({}, ("repeat", "repeat")),
        ({"wrapS": 33071, "wrapT": 33648}, ("clamp", "mirror")),
        ({"wrapS": 10497, "wrapT": 33071}, ("repeat", "clamp")),
        ({"wrapS": 7}, ("repeat", "repeat")),
        (None, ("repeat", "repeat")),
    ],
)
def test_gltf_samplers(tmp_path, sampler, wraps):
    (tmp_path / "cup.png").write_bytes(b.png(4))
    (tmp_path / "bent.png").write_bytes(b.png_of(b.normal_pixels()))
    material = {
        "name": "glaze",
        "pbrMetallicRoughness": {"baseColorTexture": {"index": 0}},
        "normalTexture": {"index": 1},
    }
    document = b.gltf([{"uri": "cup.png"}, {"uri": "bent.png"}], [material])
    if sampler is not None:
        document["samplers"] = [sampler]
        document["textures"][0]["sampler"] = 0
    b.write_gltf(tmp_path / "tea.gltf", document | one_triangle())
    found = source_of(workflow.survey(tmp_path / "tea.gltf")).stage(today())
    surface = found.meshes[0].surface
    assert surface.base_color.wraps == wraps
    assert surface.normal is not None
    assert surface.normal_wraps == ("repeat", "repeat")  # its texture has no sampler


# --- polygons

STAR = [(np.cos(a) * r, np.sin(a) * r) for n in range(10) for a, r in [(n * np.pi / 5, 1 + n % 2)]]
RING = [
    *((0, 0), (4, 0), (4, 4), (0, 4), (0, 0)),  # and along a cut to the hole and back
    *((1, 1), (1, 3), (3, 3), (3, 1), (1, 1)),
]
SHAPES = {
    "arrow": [(0, 0), (2, 2), (0, 1), (-2, 2)],
    "star": STAR,
    "comb": [(0, 0), (6, 0), (6, 3), (5, 1), (4, 3), (3, 1), (2, 3), (1, 1), (0, 3)],
    "ring": RING,
    "in line": [(0, 0), (1, 0), (2, 0), (2, 2), (1, 1), (0, 2)],
}
TILT = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]


def area(points):
    x, y = np.asarray(points, float).T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2


def inside(points, at):
    """Return whether places lie in a polygon: an odd number of its edges right of them."""
    start, end = np.asarray(points, float), np.roll(np.asarray(points, float), -1, axis=0)
    over = (start[:, 1] > at[:, 1:]) != (end[:, 1] > at[:, 1:])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (at[:, 1:] - start[:, 1]) / (end[:, 1] - start[:, 1])
    return ((start[:, 0] + share * (end[:, 0] - start[:, 0]) > at[:, :1]) & over).sum(
        axis=1
    ) % 2 > 0


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("turned", [False, True])
def test_triangles_cover_a_hollow_polygon_once_and_nothing_else(name, turned):
    flat = np.asarray(SHAPES[name], float)[:: -1 if turned else 1]
    corners = 1e-3 * np.column_stack((flat, np.zeros(len(flat)))) @ TILT + 5.0
    assert hollow(corners, np.array([0]), np.array([len(flat)]))[0]
    cut = ears(corners)
    sign = -1 if turned else 1
    areas = [sign * area(flat[list(one)]) for one in cut]
    assert min(areas) > 0  # turned as the polygon is
    assert sum(areas) == pytest.approx(sign * area(flat))
    at = np.random.default_rng(1).uniform(flat.min(), flat.max(), (2000, 2))
    covered = sum(inside(flat[list(one)], at).astype(int) for one in cut)
    assert np.array_equal(covered, inside(flat, at).astype(int))


def test_convex_polygons_are_not_hollow():
    around = np.linspace(0, 2 * np.pi, 7, endpoint=False)
    seven = np.column_stack((np.cos(around), np.sin(around), 0.01 * np.cos(2 * around)))
    box = np.array([(0, 0, 0), (1, 0, 0), (2, 0, 0), (2, 1, 0), (0, 1, 0)], float)
    flat = np.zeros((4, 3))
    points = np.concatenate((seven, box, flat, seven[:3]))
    counts = np.array([7, 5, 4, 3])
    assert not hollow(points, np.cumsum(counts) - counts, counts).any()


L_SHAPE = """
    def Mesh "plate"
    {
        int[] faceVertexCounts = [6, 4]
        int[] faceVertexIndices = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]
        int[] holeIndices = [1]
        point3f[] points = [(0.4, 0.4, 0), (0.4, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0),
            (0, 0.4, 0), (0, 0, 0), (0.4, 0, 0), (0.4, 0.4, 0), (0, 0.4, 0)]
        color3f[] primvars:displayColor = [(0.5, 0.5, 0.5)] (interpolation = "constant")
        uniform token subdivisionScheme = "none"
    }
    def DomeLight "sky"
    {
    }
"""


def test_a_hollow_polygon_of_usd_and_a_hole_beside_it(tmp_path):
    """A fan from its inner corner would do; the same polygon is listed from every corner."""
    numbers = [0, 1, 2, 3, 4, 5]
    for first in (0, 2, 4):
        turned = ", ".join(map(str, numbers[first:] + numbers[:first]))
        text = room(L_SHAPE.replace("0, 1, 2, 3, 4, 5, 6", f"{turned}, 6"))
        made = source(tmp_path, text)
        assert any("1 polygons of /room/plate are holes" in note for note in made.notes)
        found = made.stage(today())
        assert sum(len(mesh.triangles) for mesh in found.meshes) == 4
        seen = [seen_at(found, x, y) for x, y in ((0.2, 0.2), (0.2, 0.7), (0.7, 0.2), (0.7, 0.7))]
        assert seen == pytest.approx([1.0, 0.5, 0.5, 0.5], rel=0.02)
