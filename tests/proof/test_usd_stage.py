"""OpenUSD scenes in their own geometry: what stands where, what it is made of, what is told."""

from __future__ import annotations

import json

import numpy as np
import pytest

pytest.importorskip("embreex", reason="the extra 'proof' is not installed")

from tests.proof.usd_scenes import PLATE, room, source, stage

from primecoat import jobs, workflow
from primecoat.images.oiio import write_pixels
from primecoat.proof.paths.met import looked_up
from primecoat.proof.paths.picture import render
from primecoat.proof.paths.proof import source_of
from primecoat.proof.paths.scenario import explicit, today
from primecoat.proof.paths.trace import prepare, trace

# --- the same scene twice


def what_both_hold(document):
    """Take off the glTF what ``tea.usda`` says that it does not express."""
    if isinstance(document, dict):
        for key in ("COLOR_0", "KHR_texture_transform"):
            document.pop(key, None)
        if "glossinessFactor" in document:
            document["glossinessFactor"] = 1.0
        if "outerConeAngle" in document:  # a hard edge falls off the same by any rule
            document["innerConeAngle"] = document["outerConeAngle"] - 1e-4
        for part in document.values():
            what_both_hold(part)
    for part in document if isinstance(document, list) else ():
        what_both_hold(part)


WITHOUT_SKY = """#usda 1.0
(
    defaultPrim = "tea"
    metersPerUnit = 1
    subLayers = [@./tea.usda@]
    upAxis = "Y"
)
over "tea"
{
    over "sky" (active = false)
    {
    }
    over "set"
    {
        over "doorway_light"
        {
            over "light"
            {
                float inputs:shaping:cone:softness = 0
            }
        }
    }
}
"""
"""glTF holds no environment; and the cone's edge is made hard in both."""


def test_the_tea_scene_is_the_same_picture_from_gltf_and_from_usd(tea_folder):
    """On the same chances: each pixel of both, up to rounding of the layer's text."""
    document = json.loads((tea_folder / "tea.gltf").read_text(encoding="utf-8"))
    what_both_hold(document)
    (tea_folder / "plain.gltf").write_text(json.dumps(document), encoding="utf-8")
    (tea_folder / "plain.usda").write_text(WITHOUT_SKY, encoding="utf-8")
    pictures, words = [], []
    for name in ("plain.gltf", "plain.usda"):
        survey = workflow.survey(tea_folder / name)
        found = source_of(survey)
        words.append(found.words.partition(": ")[2])
        pictures.append(
            render(
                found.stage(explicit(survey)),
                (27, 48),
                samples=8,
                workplace=jobs.Workplace(workers=1),
            )
        )
    assert words[0] == words[1]
    assert (pictures[0].surface == pictures[1].surface).mean() > 0.995
    for basis in ("rec709", "ap1", "spectral"):
        one, other = (np.minimum(made.xyz(basis), 5.0) for made in pictures)
        apart = np.abs(other - one) / (one + 0.05)
        assert np.median(apart) < 1e-3
        assert (apart > 0.1).mean() < 0.03
        assert other.mean() == pytest.approx(one.mean(), rel=5e-3)


# --- geometry


def meshes_of(tmp_path, body, **more):
    made = stage(tmp_path, room(body, **more))
    return {mesh.surface.name: mesh for mesh in made.meshes}, made


def test_subsets_instances_hidden_parts_and_orientation(tmp_path):
    """A cube's faces by subset; two instances of one prototype; guides and hidden meshes stay."""
    body = (
        PLATE
        + """
    def Material "red"
    {
        token outputs:surface.connect = </room/red/surface.outputs:surface>
        def Shader "surface"
        {
            uniform token info:id = "UsdPreviewSurface"
            color3f inputs:diffuseColor = (0.8, 0.1, 0.1)
            token outputs:surface
        }
    }
    class "tile"
    {
        def Mesh "mesh" (prepend apiSchemas = ["MaterialBindingAPI"])
        {
            int[] faceVertexCounts = [4, 3]
            int[] faceVertexIndices = [0, 1, 2, 3, 0, 2, 1]
            uniform token orientation = "leftHanded"
            point3f[] points = [(0, 0, 0), (0, 0, 1), (1, 0, 1), (1, 0, 0)]
            uniform token subdivisionScheme = "none"
            rel material:binding = </room/grey>
            def GeomSubset "half" (prepend apiSchemas = ["MaterialBindingAPI"])
            {
                uniform token elementType = "face"
                uniform token familyName = "materialBind"
                int[] indices = [1]
                rel material:binding = </room/red>
            }
        }
    }
    def Xform "one" (
        instanceable = true
        prepend references = </room/tile>
    )
    {
        double3 xformOp:translate = (2, 0, 0)
        uniform token[] xformOpOrder = ["xformOp:translate"]
    }
    def Xform "two" (
        instanceable = true
        prepend references = </room/tile>
    )
    {
        float3 xformOp:scale = (-2, 1, 1)
        uniform token[] xformOpOrder = ["xformOp:scale"]
    }
    def Mesh "guide" (prepend references = </room/plate>)
    {
        uniform token purpose = "guide"
    }
    def Mesh "hidden" (prepend references = </room/plate>)
    {
        token visibility = "invisible"
    }
    def Sphere "ball"
    {
    }
    def Mesh "cage" (prepend references = </room/plate>)
    {
        uniform token subdivisionScheme = "catmullClark"
    }
"""
    )
    found = source(tmp_path, room(body))
    meshes = found.stage(today()).meshes
    assert [(m.surface.name, len(m.triangles)) for m in meshes] == [
        ("grey", 2),
        ("red", 1),
        ("grey", 2),
        ("red", 1),
        ("grey", 2),
        ("grey", 2),
    ]
    assert {m.points[:, 0].min() for m in meshes if m.surface.name == "red"} == {2.0, -2.0}
    ups = []
    for mesh in meshes:
        a, b, c = mesh.points[mesh.triangles].swapaxes(0, 1)
        ups.append(set(np.sign(np.cross(b - a, c - a)[:, 1]).tolist()))
    assert ups == [{1.0}, {1.0}, {-1.0}, {1.0}, {-1.0}, {1.0}]  # left-handed, mirrored or not
    assert any("cages" in note for note in found.notes)
    assert any("1 x Sphere" in note for note in found.notes)
    cage = meshes[-1]
    assert cage.normals is not None
    assert cage.normals == pytest.approx(np.tile((0.0, 1.0, 0.0), (6, 1)))


def test_camera_by_its_aperture_and_focal_length(tmp_path):
    """OpenUSD, UsdGeomCamera: both are tenths of a scene unit, so the angle is their quotient."""
    body = (
        PLATE
        + """
    def Camera "eye"
    {
        float focalLength = 50
        float verticalAperture = 24
        double3 xformOp:translate = (0, 3, 0)
        float xformOp:rotateX = -90
        uniform token[] xformOpOrder = ["xformOp:translate", "xformOp:rotateX"]
    }
"""
    )
    _, made = meshes_of(tmp_path, body)
    assert made.camera.height == pytest.approx(0.48)
    assert made.camera.place == pytest.approx((0, 3, 0))
    assert made.camera.target == pytest.approx((0, 2, 0))
    assert made.camera.up == pytest.approx((0, 0, -1))


# --- materials

PICTURED = """
    def Mesh "plate" (prepend apiSchemas = ["MaterialBindingAPI"])
    {
        int[] faceVertexCounts = [4]
        int[] faceVertexIndices = [0, 1, 2, 3]
        point3f[] points = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)]
        texCoord2f[] primvars:map = [(0, 0), (1, 0), (1, 1), (0, 1)] (interpolation = "faceVarying")
        uniform token subdivisionScheme = "none"
        rel material:binding = </room/paint>
    }
    def DomeLight "sky"
    {
    }
    def Material "paint"
    {
        token outputs:surface.connect = </room/paint/surface.outputs:surface>
        def Shader "surface"
        {
            uniform token info:id = "UsdPreviewSurface"
            color3f inputs:diffuseColor.connect = </room/paint/file.outputs:rgb>
            float inputs:opacity.connect = </room/paint/file.outputs:a>
            float inputs:opacityThreshold = 0.5
            float inputs:roughness = 0.7
            float inputs:metallic = 0
            float inputs:ior = 1
            token outputs:surface
        }
        def Shader "file"
        {
            uniform token info:id = "UsdUVTexture"
            asset inputs:file = @./FILE@
            token inputs:sourceColorSpace = "raw"
            float2 inputs:st.connect = </room/paint/turn.outputs:result>
            color3f outputs:rgb
            float outputs:a
        }
        def Shader "turn"
        {
            uniform token info:id = "UsdTransform2d"
            float2 inputs:in.connect = </room/paint/map.outputs:result>
            TURN
            float2 outputs:result
        }
        def Shader "map"
        {
            uniform token info:id = "UsdPrimvarReader_float2"
            string inputs:varname = "map"
            float2 outputs:result
        }
    }
"""
QUARTERS = np.array([[(0.1, 1.0), (0.2, 1.0)], [(0.3, 1.0), (0.4, 0.0)]])
"""Grey and opacity: upper left, upper right, lower left, lower right."""


def painted(path):
    fields = np.repeat(np.repeat(QUARTERS, 8, axis=0), 8, axis=1)
    codes = np.rint(fields[..., [0, 0, 0, 1]] * 255).astype(np.uint8)
    path.parent.mkdir(exist_ok=True)
    write_pixels(path, codes)


def seen_at(made, x, y):
    """Return what is seen from the front at places of the plate, in even light of 1."""
    starts = np.tile(np.array((x, y, 1.0), np.float32), (4000, 1))
    ways = np.tile(np.array((0.0, 0.0, -1.0), np.float32), (4000, 1))
    light, _ = trace(prepare(made), starts, ways, np.random.default_rng(2), bounces=1)
    return float(light[:, 0].mean())


@pytest.mark.parametrize(
    ("turn", "upper_left"),
    [
        ("float2 inputs:translation = (0, 0)", 0.1),
        ("float2 inputs:translation = (0.5, 0)", 0.2),
        ("float inputs:rotation = 90", 0.3),  # (u, v) to (-v, u): from above to the left
        ("float2 inputs:scale = (1, 3)", 0.3),  # 0.75 times 3 is 2.25: a lower half again
    ],
)
def test_pictures_lie_by_their_primvar_and_transform(tmp_path, turn, upper_left):
    """UsdPreviewSurface Specification 2.5: v is upwards; scale, turn against the clock, shift."""
    painted(tmp_path / "paint.png")
    text = PICTURED.replace("FILE", "paint.png").replace("TURN", turn)
    made = stage(tmp_path, room(text))
    surface = made.meshes[0].surface
    assert made.meshes[0].places is not None
    upper = made.meshes[0].places[5]  # the corner (0, 1)
    inside = upper + (made.meshes[0].places[1] - upper) * 0.25
    assert surface.base_color.picture is not None
    grey = looked_up(surface.base_color.picture, inside[None])[0, 0]
    assert grey == pytest.approx(upper_left, abs=0.003)


def test_what_is_cut_out_is_open_to_paths_and_to_light(tmp_path):
    """A lower right quarter without opacity: the sky is seen through it, and lights through it."""
    painted(tmp_path / "paint.png")
    text = PICTURED.replace("FILE", "paint.png").replace("TURN", "")
    made = stage(tmp_path, room(text))
    assert seen_at(made, 0.75, 0.25) == pytest.approx(1.0)
    found = [seen_at(made, 0.25, 0.75), seen_at(made, 0.25, 0.25)]
    assert found == pytest.approx([0.1, 0.3], rel=0.02)


def test_tiles_stand_side_by_side_and_one_on_another(tmp_path):
    """1001 + u + 10 v: OpenUSD's asset paths with <UDIM> (numbering: common practice)."""
    greys = {1001: 0.1, 1002: 0.2, 1011: 0.3}  # 1012 is missing
    for number, grey in greys.items():
        codes = np.full((16, 16, 4), round(grey * 255), np.uint8)
        codes[..., 3] = 255
        write_pixels(tmp_path / f"paint.{number}.png", codes)
    text = PICTURED.replace("FILE", "paint.<UDIM>.png").replace(
        "TURN", "float2 inputs:scale = (2, 2)"
    )
    made = stage(tmp_path, room(text))
    assert made.meshes[0].surface.base_color.tiles == (2, 2)
    places = ((0.25, 0.25), (0.75, 0.25), (0.25, 0.75))
    found = [seen_at(made, x, y) for x, y in places]
    assert found == pytest.approx(list(greys.values()), rel=0.03)


def test_a_sequence_shows_its_first_frame_and_says_so(tmp_path):
    for number, code in ((101, 51), (102, 204)):
        codes = np.full((8, 8, 4), code, np.uint8)
        codes[..., 3] = 255
        write_pixels(tmp_path / f"paint.{number:04}.png", codes)
    text = PICTURED.replace("@./FILE@", "@./paint.####.png@").replace("TURN", "")
    found = source(tmp_path, room(text))
    assert any("paint.0101.png, the first of 2 frames" in n for n in found.notes), found.notes
    assert seen_at(found.stage(today()), 0.5, 0.5) == pytest.approx(0.2, rel=0.02)


def test_display_colours_stand_where_no_material_is(tmp_path):
    body = """
    def Mesh "plate"
    {
        int[] faceVertexCounts = [3, 3]
        int[] faceVertexIndices = [0, 1, 2, 0, 2, 3]
        point3f[] points = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)]
        color3f[] primvars:displayColor = [(0.5, 0.5, 0.5), (0.25, 0.25, 0.25)] (
            interpolation = "uniform"
        )
        uniform token subdivisionScheme = "none"
    }
    def DomeLight "sky"
    {
    }
"""
    made = stage(tmp_path, room(body))
    found = [seen_at(made, 0.75, 0.25), seen_at(made, 0.25, 0.75)]
    assert found == pytest.approx([0.5, 0.25], rel=0.01)
