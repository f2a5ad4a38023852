"""Which pictures a stage uses, in which slots, for which channels."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from tests.scenes import builders as b
from tests.scenes.usd_stages import DIFFUSE, FILE, layer, one_use, preview, scene_of, uses

from primecoat.inventory import take_inventory
from primecoat.reading.judge import read_images
from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door

pytest.importorskip("pxr")


CUP = "./tex/cup.png"


@pytest.mark.parametrize(
    ("name", "kind", "output", "slot", "channels"),
    [
        ("diffuseColor", "color3f", "rgb", "base_color", "rgb"),
        ("emissiveColor", "color3f", "rgb", "emissive", "rgb"),
        ("specularColor", "color3f", "rgb", "specular_color", "rgb"),
        ("normal", "normal3f", "rgb", "normal", "rgb"),
        ("metallic", "float", "b", "metalness", "b"),
        ("roughness", "float", "g", "roughness", "g"),
        ("occlusion", "float", "r", "occlusion", "r"),
        ("opacity", "float", "a", "opacity", "a"),
        ("displacement", "float", "r", "height", "r"),
        ("clearcoat", "float", "r", "other_data", "r"),
        ("clearcoatRoughness", "float", "g", "roughness", "g"),
        ("ior", "float", "r", "other_data", "r"),
    ],
)
def test_preview_surface(tmp_path: Path, name, kind, output, slot, channels):
    inputs = f"{kind} inputs:{name}.connect = </M/tex.outputs:{output}>"
    scene = scene_of(tmp_path, preview(inputs=inputs))
    assert uses(scene) == {(CUP, "M", slot, channels)}
    assert one_use(scene).location.place == f"/M/surface.inputs:{name}"


def test_one_picture_for_several_slots(tmp_path: Path):
    inputs = "\n".join(
        (
            DIFFUSE,
            "float inputs:opacity.connect = </M/tex.outputs:a>",
            "float inputs:roughness.connect = </M/tex.outputs:g>",
        )
    )
    scene = scene_of(tmp_path, preview(inputs=inputs))
    assert len(scene.references) == 1
    assert {(u.slot, u.channels) for u in scene.uses} == {
        ("base_color", "rgb"),
        ("opacity", "a"),
        ("roughness", "g"),
    }


def test_light_textures(tmp_path: Path):
    lines = 'asset inputs:texture:file = @./%s@ (\n    colorSpace = "lin_rec709_scene"\n)\n'
    text = 'def DomeLight "D"\n{\n' + lines % "sky.exr" + "}\n"
    text += 'def RectLight "R"\n{\n' + lines % "window.exr" + "}\n"
    scene = scene_of(tmp_path, text)
    assert uses(scene) == {
        ("./sky.exr", "D", "environment", "rgb"),
        ("./window.exr", "R", "light_color", "rgb"),
    }
    assert {u.declared for u in scene.uses} == {"lin_rec709_scene"}


def test_pictures_in_unknown_places(tmp_path: Path):
    text = (
        'def Xform "X"\n{\n    asset thumb = @./thumb.png@\n    asset notes = @./notes.txt@\n'
        "    asset[] many = [@./a.png@, @./b.png@]\n}\n"
    )
    scene = scene_of(tmp_path, text)
    assert {(t, slot) for t, _, slot, _ in uses(scene)} == {
        ("./thumb.png", "unknown"),
        ("./a.png", "unknown"),
        ("./b.png", "unknown"),
    }
    assert "/X.many/item/1" in [r.location.place for r in scene.references]


def test_a_texture_that_feeds_nothing_has_no_slot(tmp_path: Path):
    scene = scene_of(tmp_path, preview(inputs=""))
    assert uses(scene) == {(CUP, "M", "unknown", "rgb")}


def test_display_names_are_the_names_for_people(tmp_path: Path):
    scene = scene_of(tmp_path, preview(metadata='displayName = "celadon glaze"'))
    assert one_use(scene).owner == "celadon glaze"


def test_time_samples(tmp_path: Path):
    tex = "asset inputs:file.timeSamples = {\n 1: @./tex/a.png@,\n 2.5: @./tex/b.png@,\n}"
    scene = scene_of(tmp_path, preview(tex))
    assert [(r.text, r.location.place) for r in scene.references] == [
        ("./tex/a.png", "/M/tex.inputs:file/time/1"),
        ("./tex/b.png", "/M/tex.inputs:file/time/2.5"),
    ]
    assert len(scene.uses) == 2


def test_paths_start_from_the_layer_they_stand_in(tmp_path: Path):
    layer(tmp_path / "lib", preview(), "mat.usda")
    text = 'def "M" (\n    references = @../lib/mat.usda@</M>\n)\n{\n}\n'
    scene = usd.read(layer(tmp_path / "shot", text), "root.usda")
    (reference,) = scene.references
    assert reference.written == CUP
    assert (tmp_path / "shot" / reference.text).resolve() == tmp_path / "lib" / "tex" / "cup.png"


def test_search_paths(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    (tmp_path / "shelf" / "tex").mkdir(parents=True)
    (tmp_path / "shelf" / "tex" / "cup.png").write_bytes(b.png())
    path = layer(tmp_path / "shot", preview("asset inputs:file = @tex/cup.png@"))
    door.Ar.DefaultResolver.SetDefaultSearchPath([str(tmp_path / "shelf")])
    try:
        scene = usd.read(path, "root.usda")
    finally:
        door.Ar.DefaultResolver.SetDefaultSearchPath([])
    found = (tmp_path / "shot" / scene.references[0].text).resolve()
    assert found == tmp_path / "shelf" / "tex" / "cup.png"


def tiles(folder: Path) -> None:
    (folder / "tex").mkdir()
    for tile in (1001, 1002, 1011):
        (folder / "tex" / f"cup.{tile}.png").write_bytes(b.png())


def test_udim(tmp_path: Path):
    tiles(tmp_path)
    path = layer(tmp_path, preview("asset inputs:file = @./tex/cup.<UDIM>.png@"))
    (image,) = take_inventory(path).images
    assert image.path == "tex/cup.<UDIM>.png"
    assert [f.name[4:8] for f in image.files] == ["1001", "1002", "1011"]
    assert not image.problems


def test_udim_in_small_letters_is_missing(tmp_path: Path):
    tiles(tmp_path)
    path = layer(tmp_path, preview("asset inputs:file = @./tex/cup.<udim>.png@"))
    (image,) = take_inventory(path).images
    assert [p.name for p in image.problems] == ["file_is_missing"]


def package(folder: Path, text: str) -> Path:
    path = folder / "tea.usdz"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("tea.usda", "#usda 1.0\n" + text)
        archive.writestr("tex/cup.png", b.png())
    return path


def test_package(tmp_path: Path):
    scene = usd.read(package(tmp_path, preview()), "tea.usdz")
    (reference,) = scene.references
    assert reference.package == "tea.usdz[tex/cup.png]"
    assert reference.embedded == b.png()
    (image,) = take_inventory(package(tmp_path, preview())).images
    assert image.path == "tea.usdz[tex/cup.png]"
    assert image.header is not None
    assert image.header.channels == ("R", "G", "B")


def test_package_that_a_layer_refers_to(tmp_path: Path):
    package(tmp_path, preview())
    scene = scene_of(tmp_path, 'def "M" (\n    references = @./tea.usdz@</M>\n)\n{\n}\n')
    assert scene.references[0].package == "tea.usdz[tex/cup.png]"


def test_package_without_its_picture(tmp_path: Path):
    scene = usd.read(package(tmp_path, preview("asset inputs:file = @./tex/no.png@")), "tea.usdz")
    assert [p.name for p in scene.problems] == ["reference_in_scene_is_broken"]


VARIANTS = """
def Xform "Cup" (
    variants = {
        string glaze = "white"
    }
    prepend variantSets = "glaze"
    INSTANCE
)
{
    variantSet "glaze" = {
        "white" {
%s
        }
        "blue" {
%s
            def Xform "Lid" (
                variants = {
                    string knob = "round"
                }
                prepend variantSets = "knob"
            )
            {
                variantSet "knob" = {
                    "round" {
                    }
                    "flat" {
                        color3f tint = (0, 0, 1)
                    }
                }
            }
        }
    }
}
"""


def variants(instance: str = "") -> str:
    def glaze(name: str) -> str:
        return preview(f"asset inputs:file = @./tex/{name}.png@").replace("</M", "</Cup/M")

    return (VARIANTS % (glaze("white"), glaze("blue"))).replace("INSTANCE", instance)


def test_unselected_variants_are_found_and_marked(tmp_path: Path):
    scene = scene_of(tmp_path, variants())
    assert {(r.text, r.location.place) for r in scene.references} == {
        ("./tex/white.png", "/Cup{glaze=white}M/tex.inputs:file"),
        ("./tex/blue.png", "/Cup{glaze=blue}M/tex.inputs:file"),
    }
    assert {u.location.place for u in scene.uses} == {
        "/Cup{glaze=white}M/surface.inputs:diffuseColor",
        "/Cup{glaze=blue}M/surface.inputs:diffuseColor",
    }
    assert [c.location.place for c in scene.colours] == ["/Cup{glaze=blue}Lid{knob=flat}.tint"]


def test_instances_are_read_once(tmp_path: Path):
    layer(tmp_path, variants(), "cup.usda")
    text = "".join(
        f'def "C{n}" (\n    references = @./cup.usda@</Cup>\n    instanceable = true\n)\n{{\n}}\n'
        for n in range(3)
    )
    scene = scene_of(tmp_path, text)
    assert {r.location.place for r in scene.references} == {
        "/C0{glaze=white}M/tex.inputs:file",
        "/C0{glaze=blue}M/tex.inputs:file",
    }
    assert len(scene.uses) == 2


def test_what_auto_comes_to_is_how_it_is_read_today(tmp_path: Path):
    (tmp_path / "tex").mkdir()
    (tmp_path / "tex" / "cup.png").write_bytes(b.png(1))
    inventory = take_inventory(layer(tmp_path, preview(FILE)))
    (image,) = read_images(inventory, {})
    (use,) = image.uses
    assert use.today == "data"
    assert "1 channel" in use.today_why


def test_an_unknown_slot_says_nothing(tmp_path: Path):
    (tmp_path / "tex").mkdir()
    (tmp_path / "tex" / "cup.png").write_bytes(b.png())
    inventory = take_inventory(layer(tmp_path, preview(FILE, inputs="")))
    (image,) = read_images(inventory, {})
    assert "slot" not in {e.witness for e in image.evidence}
