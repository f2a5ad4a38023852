"""In which colour space a value of a stage is, and where that came from."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_stages import at, layer, one_use, preview, scene_of

from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

API = 'prepend apiSchemas = ["ColorSpaceAPI"]'
AP1 = 'uniform token colorSpace:name = "lin_ap1_scene"\n'
P3 = 'uniform token colorSpace:name = "lin_p3d65_scene"\n'
PLAIN = "color3f c = (1, 0, 0)"
OWN = 'color3f c = (1, 0, 0) (\n    colorSpace = "lin_rec2020_scene"\n)'
ASSET = f'def Xform "A" (\n    {API}\n)\n{{\n    {P3}\n    {PLAIN}\n}}\n'
BARE = f'def Xform "A"\n{{\n    {PLAIN}\n}}\n'
SETTINGS = 'def RenderSettings "R"\n{\n    uniform token renderingColorSpace = "lin_ap1_scene"\n}\n'
LIGHT = 'def SphereLight "L"\n{\n    color3f inputs:color = (1, 0.5, 0)\n}\n'


def prim(name: str, body: str, *metadata: str, kind: str = "def Xform") -> str:
    head = "".join(f"    {m}\n" for m in metadata)
    return f'{kind} "{name}" (\n{head})\n{{\n{body}\n}}\n'


def sublayers(text: str) -> dict[str, str]:
    return {"below.usda": text}


CASES = {
    "own": (prim("W", OWN), {}, "/W.c", "lin_rec2020_scene", "own"),
    "own before its prim": (
        prim("W", AP1 + "\n" + OWN, API),
        {},
        "/W.c",
        "lin_rec2020_scene",
        "own",
    ),
    "prim": (prim("W", AP1 + "\n" + PLAIN, API), {}, "/W.c", "lin_ap1_scene", "/W"),
    "parent": (prim("W", AP1 + prim("C", PLAIN), API), {}, "/W/C.c", "lin_ap1_scene", "/W"),
    "grandparent": (
        prim("W", AP1 + prim("C", prim("D", PLAIN)), API),
        {},
        "/W/C/D.c",
        "lin_ap1_scene",
        "/W",
    ),
    "nearest wins": (
        prim("W", AP1 + prim("C", P3 + prim("D", PLAIN), API), API),
        {},
        "/W/C/D.c",
        "lin_p3d65_scene",
        "/W/C",
    ),
    "reference brings its own": (
        prim("W", AP1 + prim("C", "", "references = @./a.usda@</A>"), API),
        {"a.usda": ASSET},
        "/W/C.c",
        "lin_p3d65_scene",
        "/W/C",
    ),
    "reference under an ancestor": (
        prim("W", AP1 + prim("C", "", "references = @./a.usda@</A>"), API),
        {"a.usda": BARE},
        "/W/C.c",
        "lin_ap1_scene",
        "/W",
    ),
    "payload brings its own": (
        prim("C", "", "payload = @./a.usda@</A>"),
        {"a.usda": ASSET},
        "/C.c",
        "lin_p3d65_scene",
        "/C",
    ),
    "sublayer": ("", sublayers(ASSET), "/A.c", "lin_p3d65_scene", "/A"),
    "stronger layer wins": (
        prim("A", AP1, kind="over"),
        sublayers(ASSET),
        "/A.c",
        "lin_ap1_scene",
        "/A",
    ),
    "own in a weaker layer": (
        prim("A", AP1, API, kind="over"),
        sublayers(prim("A", OWN)),
        "/A.c",
        "lin_rec2020_scene",
        "own",
    ),
    "selected variant": (
        prim(
            "W",
            PLAIN
            + '\nvariantSet "v" = {\n    "a" (\n        '
            + API
            + "\n    ) {\n        "
            + P3
            + '\n    }\n    "b" {\n    }\n}',
            'variants = {\n string v = "a"\n}',
            'prepend variantSets = "v"',
        ),
        {},
        "/W.c",
        "lin_p3d65_scene",
        "/W",
    ),
    "inherited class": (
        prim("_C", P3 + "\n" + PLAIN, API, kind="class") + prim("W", "", "inherits = </_C>"),
        {},
        "/W.c",
        "lin_p3d65_scene",
        "/W",
    ),
    "instance under an ancestor": (
        prim("W", AP1 + prim("C", "", "references = @./a.usda@</A>", "instanceable = true"), API),
        {"a.usda": prim("A", prim("D", PLAIN))},
        "/W/C/D.c",
        "lin_ap1_scene",
        "/W",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_declared(tmp_path: Path, case: str):
    text, files, place, expected, origin = CASES[case]
    for name, content in files.items():
        layer(tmp_path, content, name)
    metadata = "    subLayers = [@./below.usda@]" if "below.usda" in files else ""
    root = layer(tmp_path, text, metadata=metadata)
    value = at(usd.read(root, "root.usda"), place)
    assert value.declared == expected
    assert ("its own colorSpace" if origin == "own" else f" {origin} ") in value.space_from
    stage = door.Usd.Stage.Open(str(root))
    found = door.Usd.ColorSpaceAPI.ComputeColorSpaceName(stage.GetAttributeAtPath(place), None)
    assert found == expected, "the library says so too"


def test_nothing_said_is_the_default_for_colours_and_open_for_lights(tmp_path: Path):
    scene = scene_of(tmp_path, BARE + LIGHT)
    colour, light = at(scene, "/A.c"), at(scene, "/L.inputs:color")
    assert (colour.declared, colour.default) == (None, "lin_rec709_scene")
    assert "default" in colour.space_from
    assert (light.declared, light.default) == (None, None)
    assert "nothing says which" in light.space_from


def test_rendering_space_is_that_of_lights_and_of_what_says_nothing(tmp_path: Path):
    scene = scene_of(tmp_path, BARE + LIGHT + SETTINGS)
    assert scene.working == "lin_ap1_scene"
    for place in ("/A.c", "/L.inputs:color"):
        assert (at(scene, place).declared, at(scene, place).default) == (None, "lin_ap1_scene")


def test_the_stage_names_the_settings_that_rule(tmp_path: Path):
    other = SETTINGS.replace('"R"', '"S"').replace("lin_ap1", "lin_rec2020")
    assert scene_of(tmp_path, SETTINGS + other).working == ""
    chosen = scene_of(tmp_path, SETTINGS + other, metadata='    renderSettingsPrimPath = "/S"')
    assert chosen.working == "lin_rec2020_scene"


def test_instances_under_different_spaces_are_not_guessed(tmp_path: Path):
    layer(tmp_path, prim("A", prim("D", PLAIN)), "a.usda")
    arcs = ("references = @./a.usda@</A>", "instanceable = true")
    text = prim("V", AP1 + prim("C", "", *arcs), API) + prim("W", P3 + prim("C", "", *arcs), API)
    value = at(scene_of(tmp_path, text), "/V/C/D.c")
    assert value.declared is None


@pytest.mark.parametrize(
    ("own", "source", "declared", "partly", "automatic"),
    [
        ("", "", None, False, True),
        ("", "auto", None, False, True),
        ("", "raw", "raw", False, False),
        ("", "sRGB", "sRGB", True, False),
        ("lin_ap1_scene", "raw", "lin_ap1_scene", False, False),
        ("srgb_p3d65_scene", "sRGB", "srgb_p3d65_scene", False, False),
        ("srgb_p3d65_scene", "auto", "srgb_p3d65_scene", False, True),
    ],
)
def test_declared_for_a_texture(tmp_path: Path, own, source, declared, partly, automatic):
    file = f'asset inputs:file = @./tex/cup.png@ (\n    colorSpace = "{own}"\n)'
    word = f'token inputs:sourceColorSpace = "{source}"'
    tex = "\n".join((file if own else "asset inputs:file = @./tex/cup.png@", word * bool(source)))
    scene = scene_of(tmp_path, preview(tex))
    use = one_use(scene)
    assert (use.declared, use.partly, use.automatic) == (declared, partly, automatic)
    assert not [p for p in scene.problems if p.name == "declarations_contradict"]
    assert ("curve only" in use.declared_how) is partly
    readings = {"raw": "data", "sRGB": "srgb_rec709_scene", None: None}
    assert use.declared_reading == readings.get(declared, declared)


@pytest.mark.parametrize(
    ("own", "source"),
    [
        ("srgb_rec709_scene", "raw"),
        ("lin_ap1_scene", "sRGB"),
        ("data", "sRGB"),
        ("g22_rec709_scene", "sRGB"),
        ("g22_rec709_scene", "raw"),
    ],
)
def test_contradiction_is_found(tmp_path: Path, own, source):
    file = f'asset inputs:file = @./tex/cup.png@ (\n    colorSpace = "{own}"\n)'
    scene = scene_of(tmp_path, preview(f'{file}\ntoken inputs:sourceColorSpace = "{source}"'))
    (problem,) = [p for p in scene.problems if p.name == "declarations_contradict"]
    assert own in problem.message
    assert source in problem.message
    assert one_use(scene).declared == own
