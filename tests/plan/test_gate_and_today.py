"""The gate never opens while it is known that a picture is read otherwise than it must be.

Expectations of ``auto``: *UsdPreviewSurface Specification* 2.5, Texture Reader. Of glTF slots:
glTF 2.0, section 3.9. Of MaterialX: *MaterialX Specification 1.39*, where nothing is declared.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.plan import small as s
from tests.scenes import builders as b

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.plan.mended import not_mended
from primecoat.reading.judgement import UseReading
from primecoat.scenes.usd import door
from primecoat.workflow.passing import Gate

ROUTES = ("tag", "declare", "bake")
WORDS = ("auto", "sRGB", "raw", "", "auto, data", ", data")
"""``sourceColorSpace``, and after a comma ``colorSpace`` of the file."""
SLOTS = {
    "diffuseColor": ("color3f", "rgb"),
    "normal": ("normal3f", "rgb"),
    "roughness": ("float", "r"),
}
SPACES = ("", "none", "srgb_texture", "lin_rec709")


def pictures(folder: Path, *names: str) -> None:
    """Write small pictures, sound normal maps where the name says so."""
    for name in names:
        plain = b.png(3, "uint16" if "deep" in name else "uint8")
        (folder / name).write_bytes(b.png_of(b.normal_pixels()) if "normal" in name else plain)


def usd(folder: Path) -> Path:
    """Write a material for each slot and word, of colour one of 16 bits too."""
    made = ["#usda 1.0"]
    for slot, (kind, output) in SLOTS.items():
        for said in WORDS:
            for depth in ("", "deep_") if slot == "diffuseColor" else ("",):
                word, _, own = said.partition(", ")
                name = f"{depth}{slot}_{WORDS.index(said)}"
                pictures(folder, f"{name}.png")
                source = f'token inputs:sourceColorSpace = "{word}"' if word else ""
                space = f' (colorSpace = "{own}")' if own else ""
                made.append(f"""
def Material "{name}"
{{
    token outputs:surface.connect = </{name}/surface.outputs:surface>
    def Shader "surface"
    {{
        uniform token info:id = "UsdPreviewSurface"
        {kind} inputs:{slot}.connect = </{name}/tex.outputs:{output}>
        token outputs:surface
    }}
    def Shader "tex"
    {{
        uniform token info:id = "UsdUVTexture"
        asset inputs:file = @./{name}.png@{space}
        {source}
        float3 outputs:rgb
        float outputs:r
    }}
}}""")
    path = folder / "s.usda"
    path.write_text("\n".join(made), encoding="utf-8")
    return path


def materialx(folder: Path) -> Path:
    """Write colour and data images, each under each space or none; one document names no space."""
    images, inputs = [], []
    for kind, slot in (("color3", "base_color"), ("vector3", "normal"), ("color3", "normal")):
        for number, space in enumerate(SPACES):
            name = f"{slot}_{kind}_{number}"
            pictures(folder, f"{name}.png")
            said = f' colorspace="{space}"' if space else ""
            images.append(
                f'<image name="{name}" type="{kind}"><input name="file" type="filename"'
                f' value="{name}.png"{said}/></image>'
            )
            inputs.append(
                f'<standard_surface name="s_{name}" type="surfaceshader"><input name="{slot}"'
                f' type="{kind}" nodename="{name}"/></standard_surface>'
                f'<surfacematerial name="m_{name}" type="material"><input name="surfaceshader"'
                f' type="surfaceshader" nodename="s_{name}"/></surfacematerial>'
            )
    path = folder / "s.mtlx"
    text = "\n".join(['<?xml version="1.0"?>', '<materialx version="1.39">', *images, *inputs])
    path.write_text(f"{text}\n</materialx>\n", encoding="utf-8")
    return path


def gltf(folder: Path) -> Path:
    """Write every kind of slot once."""
    slots = ("base_color", "metal", "normal", "occlusion", "emissive")
    pictures(folder, *(f"{slot}.png" for slot in slots))
    return s.gltf(folder / "s.gltf", *((f"{slot}.png", slot) for slot in slots))


def sheet(folder: Path) -> Path:
    """Write colour and data slots, each under each space or none."""
    rows = []
    for slot in ("base_color", "normal"):
        for number, space in enumerate(("", s.SRGB, s.DATA, s.AP1)):
            pictures(folder, f"{slot}_{number}.png")
            rows.append(f"{slot}_{number}.png,x,{slot},rgb,{space},")
    return s.sheet(folder / "s.csv", *rows)


def wrong_yet_explicit(gate: Gate) -> list[tuple[str, str, str]]:
    """Return what the gate passes although it is known to be read otherwise."""
    return [
        (image.record.path, use.today, use.judgement.reading)
        for image in gate.survey.readings.images
        for use in image.uses
        if image.record.path in gate.explicit_places and _differs(use)
    ]


def _differs(use: UseReading) -> bool:
    return use.today not in ("unknown", use.judgement.reading)


def primed(scene: Path, route: str) -> Gate:
    """Plan, apply, and hold the new scene, or the old one if nothing was written, to the gate."""
    workflow.apply(s.plan(scene, route, with_likely=True))
    new = scene.with_name(f"{scene.stem}.primed{scene.suffix}")
    return workflow.gate(_surveyed(new if new.exists() else scene))


def _surveyed(scene: Path) -> Survey:
    return workflow.survey(scene, verify=True, workers=1)


EXPLICIT = {
    usd: {"tag": 16, "declare": 16, "bake": 16},
    materialx: {"tag": 9, "declare": 9, "bake": 6},
    gltf: {"tag": 5, "declare": 0, "bake": 0},
    sheet: {"tag": 5, "declare": 5, "bake": 4},
}
"""How many pictures each route makes explicit: all but those declared against their slot, of which
a person must speak (eight of the stage, three of each other), and what the route leaves to others:
data that is read rightly by a bake, and in glTF all by declaring."""


@pytest.mark.parametrize("route", ROUTES)
@pytest.mark.parametrize("make", EXPLICIT)
def test_what_is_explicit_is_read_as_it_must_be(tmp_path, make, route):
    """After each route, over every word and declaration; and the routes do make things explicit."""
    if make is usd:
        pytest.importorskip("pxr")
    gate = primed(make(tmp_path), route)
    assert wrong_yet_explicit(gate) == []
    assert gate.explicit == EXPLICIT[make][route]


@pytest.mark.parametrize("route", ["tag", "declare"])
@pytest.mark.parametrize("make", [usd, materialx, gltf, sheet])
@pytest.mark.parametrize("reading", [s.AP1, s.DATA])
def test_nor_after_a_word_that_overrules_all(tmp_path, make, route, reading):
    """A person says the same of every picture, against slots and declarations."""
    if make is usd:
        pytest.importorskip("pxr")
    scene = make(tmp_path)
    found = _surveyed(scene)
    workflow.decide_all(found, [i.record.path for i in found.readings.images], reading)
    assert wrong_yet_explicit(primed(scene, route)) == []


@pytest.mark.parametrize("route", ROUTES)
def test_a_normal_map_under_auto_becomes_raw(tmp_path, route):
    """By each route, as OpenUSD itself reads the new scene; the name alone does not open it."""
    pytest.importorskip("pxr")
    name = f"glaze_{s.DATA}.png"
    (tmp_path / name).write_bytes(b.png_of(b.normal_pixels()))
    scene = tmp_path / "s.usda"
    scene.write_text(_one_normal(name), encoding="utf-8")
    before = workflow.gate(_surveyed(scene))
    assert not before.open
    assert [f.code for f in before.findings] == ["PC114"]
    assert "whatever its name says" in before.left[0].why
    gate = primed(scene, route)
    assert gate.open
    assert not gate.findings
    stage = door.Usd.Stage.Open(str(tmp_path / "s.primed.usda"))
    assert stage.GetAttributeAtPath("/M/tex.inputs:sourceColorSpace").Get() == "raw"


def _one_normal(name: str) -> str:
    return f"""#usda 1.0
def Material "M"
{{
    token outputs:surface.connect = </M/s.outputs:surface>
    def Shader "s"
    {{
        uniform token info:id = "UsdPreviewSurface"
        normal3f inputs:normal.connect = </M/tex.outputs:rgb>
        token outputs:surface
    }}
    def Shader "tex"
    {{
        uniform token info:id = "UsdUVTexture"
        asset inputs:file = @./{name}@
        token inputs:sourceColorSpace = "auto"
        float3 outputs:rgb
    }}
}}
"""


def test_what_has_no_word_stays_open_with_the_way_to_close_it(tmp_path):
    """A pure gamma under auto: the tag route says that only a bake closes it."""
    pytest.importorskip("pxr")
    name = "glaze_g22_rec709_scene.png"
    (tmp_path / name).write_bytes(b.png())
    scene = tmp_path / "s.usda"
    text = _one_normal(name).replace("normal3f inputs:normal", "color3f inputs:diffuseColor")
    scene.write_text(text, encoding="utf-8")
    made = s.plan(scene, "tag")
    assert [(h.where, "--route bake" in h.remedy) for h in made.held] == [(name, True)]
    assert not workflow.gate(_surveyed(scene)).open
    assert primed(scene, "bake").open


@pytest.mark.parametrize("route", ROUTES)
@pytest.mark.parametrize(("space", "word"), [(s.SRGB, "raw"), (s.DATA, "sRGB"), (s.AP1, "sRGB")])
def test_two_declarations_are_made_to_agree(tmp_path, route, space, word):
    """A pair that contradicts itself reads as unknown; each route mends it, and undo unmends it.

    Which words agree: *UsdPreviewSurface Specification* 2.5, Texture Reader.
    """
    pytest.importorskip("pxr")
    (tmp_path / "glaze.png").write_bytes(b.png())
    scene = tmp_path / "s.usda"
    text = _one_normal("glaze.png").replace(
        "@./glaze.png@", f'@./glaze.png@ (colorSpace="{space}")'
    )
    if space != s.DATA:
        text = text.replace("normal3f inputs:normal", "color3f inputs:diffuseColor")
    scene.write_text(text.replace('"auto"', f'"{word}"'), encoding="utf-8")
    found = _surveyed(scene)
    assert "PC110" in [f.code for f in found.findings]
    (use,) = found.readings.images[0].uses
    assert use.today == "unknown"
    assert "programs differ" in use.today_why
    before = s.content(tmp_path)
    made = s.plan(scene, route)
    assert not made.held
    assert not not_mended(made, found.findings)
    workflow.apply(made)
    new = scene.with_name("s.primed.usda")
    stage = door.Usd.Stage.Open(str(new))
    baked = s.AP1 if route == "bake" and space == s.SRGB else space
    written = stage.GetAttributeAtPath("/M/tex.inputs:sourceColorSpace").Get()
    assert written == ("sRGB" if baked == s.SRGB else "raw")
    assert stage.GetAttributeAtPath("/M/tex.inputs:file").GetColorSpace() == baked
    gate = workflow.gate(_surveyed(new))
    assert gate.open, (gate.left, gate.findings)
    workflow.undo(scene)
    assert s.content(tmp_path) == before


def test_a_plan_says_which_errors_it_mends(tmp_path):
    """What a route mends is no error that stays; what it holds is."""
    pytest.importorskip("pxr")
    for name in ("glaze.png", "glaze_g22_rec709_scene.png"):
        (tmp_path / name).write_bytes(b.png_of(b.normal_pixels()) if "g22" not in name else b.png())
    mended, kept = tmp_path / "n.usda", tmp_path / "g.usda"
    mended.write_text(_one_normal("glaze.png"), encoding="utf-8")
    text = _one_normal("glaze_g22_rec709_scene.png")
    text = text.replace("normal3f inputs:normal", "color3f inputs:diffuseColor")
    kept.write_text(text, encoding="utf-8")
    for scene, codes in ((mended, []), (kept, ["PC114"])):
        found = _surveyed(scene)
        assert [f.code for f in found.findings if f.severity == "error"] == ["PC114"]
        assert [f.code for f in not_mended(workflow.plan(found, "tag"), found.findings)] == codes
