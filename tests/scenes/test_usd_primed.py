"""The layer above a scene: it holds what was asked for, and changes nothing else."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.scenes.usd_stages import (
    all_values,
    at,
    convert_all,
    declare_all,
    layer,
    preview,
    scene_of,
)

from primecoat.errors import RefusedError
from primecoat.scenes.formats import usd
from primecoat.scenes.model import Edit, Scene
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

METADATA = """
    defaultPrim = "Set"
    doc = "the set"
    endTimeCode = 48
    framesPerSecond = 25
    kilogramsPerUnit = 0.5
    metersPerUnit = 0.01
    startTimeCode = 1
    timeCodesPerSecond = 25
    upAxis = "Z"
    customLayerData = {
        string shelf = "top"
    }
    subLayers = [
        @./below.usda@ (offset = 10; scale = 2)
    ]
"""
BELOW = preview().replace("M", "Below").replace('"Below', '"Below')
SET = 'def Xform "Set"\n{\n    color3f tint = (1, 0, 0)\n    float3 no = (1, 0, 0)\n}\n'


def primed(root: Path, edits: Sequence[Edit]) -> Path:
    """Write the layer above a scene."""
    target = root.with_name("root.primed.usda")
    target.write_bytes(usd.primed(root, edits, target))
    return target


def read(path: Path) -> Scene:
    return usd.read(path, path.name)


def hashes(folder: Path) -> dict[str, str]:
    return {
        p.name: hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file() and ".primed." not in p.name
    }


def differences(one: Path, other: Path) -> dict[str, tuple[Any, Any]]:
    """Return what two stages say differently, by path."""
    a = all_values(door.Usd.Stage.Open(str(one)))
    b = all_values(door.Usd.Stage.Open(str(other)))
    return {k: (a.get(k), b.get(k)) for k in {*a, *b} if a.get(k) != b.get(k)}


def complaints(path: Path) -> set[str]:
    """Return what the library's validators say of a stage, without the place of the layer."""
    registry = door.UsdValidation.ValidationRegistry()
    context = door.UsdValidation.ValidationContext(registry.GetOrLoadAllValidators())
    found = context.Validate(door.Usd.Stage.Open(str(path)))
    return {f"{e.GetName()} {e.GetMessage()}".replace(".primed", "") for e in found}


def spaces_written(path: Path) -> set[str]:
    """Return every colour space in a layer, by its specs."""
    root = door.Sdf.Layer.FindOrOpen(str(path))
    found = set()

    def visit(place: Any) -> None:
        spec = root.GetObjectAtPath(place)
        if isinstance(spec, door.Sdf.AttributeSpec):
            if spec.HasInfo("colorSpace"):
                found.add(spec.colorSpace)
            if spec.name in ("renderingColorSpace", "colorSpace:name"):
                found.add(spec.default)

    root.Traverse("/", visit)
    return found


def test_root_metadata_is_kept_and_sources_are_untouched(tmp_path: Path):
    layer(tmp_path, BELOW, "below.usda")
    root = layer(tmp_path, SET, metadata=METADATA)
    before = hashes(tmp_path)
    scene = read(root)
    target = primed(root, declare_all(scene, "srgb_rec709_scene"))
    assert hashes(tmp_path) == before
    one, other = (door.Usd.Stage.Open(str(p)) for p in (root, target))
    data = {k: v for k, v in other.GetRootLayer().customLayerData.items() if k != "primecoat"}
    assert data == dict(one.GetRootLayer().customLayerData)
    for key in METADATA.split("\n    "):
        name = key.strip().split(" = ")[0]
        if name and name not in ("customLayerData", "subLayers", "string shelf", "}", "]"):
            assert one.GetMetadata(name) == other.GetMetadata(name) or name.startswith("@"), name
    assert list(other.GetRootLayer().subLayerPaths) == ["./root.usda"]


def test_only_overs_and_only_what_was_asked_for(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    edit = Edit(place="/M/tex.inputs:file", before="./tex/cup.png", after="./tex/cup_data.png")
    target = primed(root, [edit])
    text = target.read_text()
    assert "def " not in text
    assert set(differences(root, target)) == {"/M/tex.inputs:file value"}


def test_bytes_are_the_same_each_time(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    scene = read(root)
    edits = [
        *declare_all(scene, "srgb_rec709_scene"),
        *convert_all(scene, "lin_rec709_scene", "lin_ap1_scene"),
    ]
    target = tmp_path / "root.primed.usda"
    assert usd.primed(root, edits, target) == usd.primed(root, edits[::-1], target)


@pytest.mark.parametrize(
    ("space", "word"),
    [
        ("data", "raw"),
        ("lin_ap1_scene", "raw"),
        ("lin_rec709_scene", "raw"),
        ("srgb_rec709_scene", "sRGB"),
        ("srgb_p3d65_scene", "sRGB"),
        ("srgb_ap1_scene", "sRGB"),
    ],
)
def test_both_declarations_agree(tmp_path: Path, space: str, word: str):
    root = layer(tmp_path, preview())
    target = primed(root, declare_all(read(root), space))
    stage = door.Usd.Stage.Open(str(target))
    assert stage.GetAttributeAtPath("/M/tex.inputs:sourceColorSpace").Get() == word
    assert stage.GetAttributeAtPath("/M/tex.inputs:file").GetColorSpace() == space
    scene = read(target)
    assert scene.uses[0].declared == space
    assert not scene.problems
    assert all(door.Gf.ColorSpace.IsValid(s) for s in spaces_written(target))


@pytest.mark.parametrize("space", ["g22_rec709_scene", "g18_rec709_scene", "srgb_rec709_display"])
def test_what_has_no_word_is_refused_with_the_reason(tmp_path: Path, space: str):
    root = layer(tmp_path, preview())
    scene = read(root)
    with pytest.raises(RefusedError, match=space):
        primed(root, declare_all(scene, space))
    assert space in scene.uses[0].refuses or not usd.space_name(space)


def test_a_pure_gamma_can_be_declared_where_no_curve_has_to_be_named(tmp_path: Path):
    text = 'def DomeLight "D"\n{\n    asset inputs:texture:file = @./sky.exr@\n}\n'
    root = layer(tmp_path, text)
    scene = read(root)
    assert scene.uses[0].refuses == ()
    target = primed(root, declare_all(scene, "g22_rec709_scene"))
    assert spaces_written(target) == {"g22_rec709_scene"}


def test_a_contradiction_is_mended(tmp_path: Path):
    file = 'asset inputs:file = @./a.png@ (\n    colorSpace = "srgb_rec709_scene"\n)\n'
    root = layer(tmp_path, preview(f'{file}token inputs:sourceColorSpace = "raw"'))
    edit = Edit(
        place="/M/tex.inputs:file/colorSpace",
        before="srgb_rec709_scene",
        after="srgb_rec709_scene",
    )
    assert not read(primed(root, [edit])).problems


def test_a_word_shared_by_two_textures_is_left_to_the_other(tmp_path: Path):
    text = """
def Material "M"
{
    token inputs:word = "auto"
%s
}
"""
    shaders = "".join(
        f"""    def Shader "{name}"
    {{
        uniform token info:id = "UsdUVTexture"
        asset inputs:file = @./{name}.png@
        token inputs:sourceColorSpace.connect = </M.inputs:word>
        color3f outputs:rgb
    }}
"""
        for name in ("a", "b")
    )
    root = layer(tmp_path, text % shaders)
    target = primed(root, [Edit(place="/M/a.inputs:file/colorSpace", before="", after="data")])
    declared = {s.references[u.reference].text: u for s in [read(target)] for u in s.uses}
    assert declared["./a.png"].declared == "data"
    assert declared["./b.png"].automatic
    stage = door.Usd.Stage.Open(str(target))
    assert not stage.GetAttributeAtPath("/M/a.inputs:sourceColorSpace").GetConnections()
    assert stage.GetAttributeAtPath("/M/b.inputs:sourceColorSpace").GetConnections()


def test_colours_are_converted(tmp_path: Path):
    text = (
        'def Xform "X"\n{\n    color3f red = (1, 0, 0)\n    color3d white = (1, 1, 1)\n'
        "    color4f more = (1, 0, 0, 0.25)\n    color3f[] many = [(1, 0, 0), (1, 1, 1)]\n"
        "    color3h half = (1, 0, 0)\n    float3 no = (1, 0, 0)\n    vector3f way = (1, 0, 0)\n"
        "    color3f timed.timeSamples = {\n        1: (1, 0, 0),\n        2: (1, 1, 1),\n    }\n"
        "}\n"
    )
    root = layer(tmp_path, text)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    stage = door.Usd.Stage.Open(str(target))

    def value(name: str, *time: float) -> Any:
        return np.array(stage.GetAttributeAtPath(f"/X.{name}").Get(*time), dtype=np.float64)

    red, white = np.array([0.613097, 0.070194, 0.020616]), np.ones(3)
    assert np.abs(value("red") - red).max() < 1e-6
    assert np.abs(value("white") - white).max() < 1e-6
    assert np.abs(value("more") - [*red, 0.25]).max() < 1e-6
    assert np.abs(value("many") - [red, white]).max() < 1e-6
    assert np.abs(value("timed", 1) - red).max() < 1e-6
    assert np.abs(value("timed", 2) - white).max() < 1e-6
    assert np.abs(value("half") - red).max() < 5e-4, "half has 11 bits"
    changed = {k.split(".")[1].split()[0] for k in differences(root, target)}
    assert changed == {"red", "white", "more", "many", "half", "timed"}
    assert {c.declared for c in read(target).colours} == {"lin_ap1_scene"}
    assert list(stage.GetAttributeAtPath("/X.timed").GetTimeSamples()) == [1.0, 2.0]


def test_one_colour_by_its_numbers(tmp_path: Path):
    root = layer(tmp_path, SET)
    edit = Edit(place="/Set.tint/value", before="1 0 0", after="0.613097 0.070194 0.020616")
    assert (
        at(read(primed(root, [edit])), "/Set.tint").written
        == "0.613097012 0.0701939985 0.0206160005"
    )


def test_layer_offsets_do_not_move_time_samples(tmp_path: Path):
    text = 'def Xform "X"\n{\n    color3f c.timeSamples = {\n        1: (1, 0, 0),\n    }\n}\n'
    layer(tmp_path, text, "below.usda", metadata="    timeCodesPerSecond = 25")
    root = layer(tmp_path, "", metadata=METADATA)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    for path in (root, target):
        stage = door.Usd.Stage.Open(str(path))
        assert list(stage.GetAttributeAtPath("/X.c").GetTimeSamples()) == [12.0]


def test_time_samples_of_pictures(tmp_path: Path):
    tex = "asset inputs:file.timeSamples = {\n 1: @./a.png@,\n 2: @./b.png@,\n}"
    root = layer(tmp_path, preview(tex))
    edit = Edit(place="/M/tex.inputs:file/time/2", before="./b.png", after="./b_data.png")
    target = primed(root, [edit])
    assert [r.text for r in read(target).references] == ["./a.png", "./b_data.png"]


def test_one_of_many_pictures(tmp_path: Path):
    root = layer(tmp_path, 'def Xform "X"\n{\n    asset[] many = [@./a.png@, @./b.png@]\n}\n')
    edits = [
        Edit(place=f"/X.many/item/{n}", before=f"./{n_}.png", after=f"./{n_}_data.png")
        for n, n_ in enumerate("ab")
    ]
    texts = [r.text for r in read(primed(root, edits)).references]
    assert texts == ["./a_data.png", "./b_data.png"]


def test_pictures_named_in_other_folders(tmp_path: Path):
    layer(tmp_path / "lib", preview(), "mat.usda")
    text = 'def "M" (\n    references = @../lib/mat.usda@</M>\n)\n{\n}\n'
    root = layer(tmp_path / "shot", text)
    edit = Edit(place="/M/tex.inputs:file", before="./tex/cup.png", after="../lib/tex/cup_x.png")
    target = root.with_name("root.primed.usda")
    target.write_bytes(usd.primed(root, [edit], target))
    (reference,) = read(target).references
    assert (target.parent / reference.text).resolve() == tmp_path / "lib" / "tex" / "cup_x.png"


def test_package_gets_a_layer_above(tmp_path: Path):
    from tests.scenes.test_usd_read import package

    source = package(tmp_path, preview())
    scene = usd.read(source, "tea.usdz")
    target = tmp_path / "tea.primed.usda"
    target.write_bytes(usd.primed(source, declare_all(scene, "srgb_rec709_scene"), target))
    found = usd.read(target, "tea.primed.usda")
    assert found.uses[0].declared == "srgb_rec709_scene"
    assert found.references[0].package == "tea.usdz[tex/cup.png]"


# --- instances and variants

INNER = """
def Xform "Pot"
{
    color3f clay = (1, 0, 0)
}
"""
CUP = """
def Xform "Base"
{
    color3f tint = (1, 0, 0)
    def Xform "Body"
    {
        color3f tint = (1, 0, 0)
    }
}
def Xform "Cup" (
    references = </Base>
    variants = {
        string glaze = "white"
    }
    prepend variantSets = "glaze"
)
{
    def Xform "Inner" (
        references = @./inner.usda@</Pot>
        instanceable = true
    )
    {
    }
    variantSet "glaze" = {
        "white" {
        }
        "blue" {
            over "Body"
            {
                color3f tint = (0, 0, 1)
                color3f only = (0, 1, 0)
            }
        }
        "green" {
        }
    }
}
"""


def instances(folder: Path) -> Path:
    layer(folder, INNER, "inner.usda")
    layer(folder, CUP, "cup.usda")
    text = "".join(
        f'def Xform "C{n}" (\n    references = @./cup.usda@</Cup>\n'
        f"    instanceable = {str(n < 3).lower()}\n)\n{{\n}}\n"
        for n in range(4)
    )
    text += (
        'def Xform "P" (\n    references = @./inner.usda@</Pot>\n    instanceable = true\n)\n{\n}\n'
    )
    return layer(folder, text)


def test_instances_share_one_prototype_and_get_the_change(tmp_path: Path):
    root = instances(tmp_path)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    one, other = (door.Usd.Stage.Open(str(p)) for p in (root, target))

    def groups(stage: Any) -> list[list[str]]:
        return sorted(
            sorted(str(i.GetPath()) for i in p.GetInstances() if not i.IsInPrototype())
            for p in stage.GetPrototypes()
        )

    assert ["/C0", "/C1", "/C2"] in groups(other)
    assert groups(one) == groups(other)
    red = np.array([0.613097, 0.070194, 0.020616])
    for n in range(4):
        for place in (f"/C{n}/Body.tint", f"/C{n}/Inner.clay", f"/C{n}.tint", "/P.clay"):
            value = np.array(other.GetAttributeAtPath(place).Get())
            assert np.abs(value - red).max() < 1e-6, place


def in_variant(path: Path, variant: str) -> dict[str, Any]:
    stage = door.Usd.Stage.Open(str(path))
    for n in range(4):
        stage.GetPrimAtPath(f"/C{n}").GetVariantSets().SetSelection("glaze", variant)
    return {k: v for k, v in all_values(stage).items() if "/C" in k and k.endswith("value")}


def test_every_variant_is_changed_and_none_is_silenced(tmp_path: Path):
    root = instances(tmp_path)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    red = "(0.61309737, 0.070193715, 0.020615593)"
    blue = "(0.047379"
    for variant in ("white", "blue", "green"):
        found = in_variant(target, variant)
        for n in range(4):
            tint = found[f"/C{n}/Body.tint value"]
            assert tint.startswith(f"[{blue}"[1:-1]) or tint.strip("[]").split(",")[0].startswith(
                "0.047" if variant == "blue" else "0.613"
            ), (variant, n, tint)
    assert "/C0/Body.only value" in in_variant(target, "blue")
    assert red.split(",")[0][1:6] in in_variant(target, "green")["/C1/Body.tint value"]
    assert read(target).problems == ()
    assert {c.declared for c in read(target).colours} == {"lin_ap1_scene"}


def test_variant_sets_keep_their_order(tmp_path: Path):
    text = """
def Xform "X" (
    variants = {
        string a = "one"
        string b = "one"
    }
    prepend variantSets = ["a", "b"]
)
{
    variantSet "a" = {
        "one" {
            color3f c = (1, 0, 0)
        }
        "two" {
            color3f d = (1, 0, 0)
        }
    }
    variantSet "b" = {
        "one" {
            color3f c = (0, 1, 0)
        }
    }
}
"""
    root = layer(tmp_path, text)
    target = primed(root, convert_all(read(root), "lin_rec709_scene", "lin_ap1_scene"))
    assert "variantSets" not in target.read_text()
    stage = door.Usd.Stage.Open(str(target))
    assert stage.GetPrimAtPath("/X").GetVariantSets().GetNames() == ["a", "b"]
    assert at(read(target), "/X{a=one}.c").written.startswith("0.613")


def test_a_stronger_opinion_is_not_passed_over(tmp_path: Path):
    text = """
class "_C"
{
    color3f c = (1, 0, 0)
}
def Xform "X" (
    variants = {
        string a = "one"
    }
    prepend variantSets = "a"
    inherits = </_C>
)
{
    variantSet "a" = {
        "one" {
            color3f c = (0, 1, 0)
        }
    }
}
"""
    root = layer(tmp_path, text)
    scene = read(root)
    assert [(c.location.place, c.value) for c in scene.colours] == [("/X.c", (1, 0, 0))]
    target = primed(root, convert_all(scene, "lin_rec709_scene", "lin_ap1_scene"))
    assert at(read(target), "/X.c").written.startswith("0.613")
    hidden = Edit(place="/X{a=one}.c/value", before="1 0 0", after="0.5 0 0")
    with pytest.raises(RefusedError, match="stronger opinion"):
        primed(root, [hidden])


# --- the rendering colour space

SETTINGS = 'def RenderSettings "R"\n{\n    uniform token renderingColorSpace = "%s"\n}\n'
LIGHT = 'def SphereLight "L"\n{\n    color3f inputs:color = (1, 0.5, 0)\n}\n'
SWITCH = Edit(
    place="/R.renderingColorSpace/value", before="lin_rec709_scene", after="lin_ap1_scene"
)


def test_what_followed_the_old_rendering_space_is_pinned_to_it(tmp_path: Path):
    root = layer(tmp_path, SETTINGS % "lin_rec709_scene" + LIGHT + SET)
    target = primed(root, [SWITCH])
    scene = read(target)
    assert scene.working == "lin_ap1_scene"
    for place in ("/L.inputs:color", "/Set.tint"):
        assert at(scene, place).declared == "lin_rec709_scene"


def test_settings_without_a_space_get_one_and_lights_are_not_guessed(tmp_path: Path):
    bare = 'def RenderSettings "R"\n{\n}\n'
    edit = Edit(place=SWITCH.place, before="", after="lin_ap1_scene")
    root = layer(tmp_path, bare + SET)
    scene = read(primed(root, [edit]))
    assert scene.working == "lin_ap1_scene"
    assert at(scene, "/Set.tint").declared == "lin_rec709_scene"
    with pytest.raises(RefusedError, match="--from"):
        primed(layer(tmp_path, bare + LIGHT), [edit])


# --- refusals, and once more


def test_a_scene_that_changed_is_refused(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    for edit in (
        Edit(place="/M/tex.inputs:file", before="./old.png", after="./new.png"),
        Edit(place="/Set.tint/value", before="0 0 1", after="1 1 1"),
        Edit(place="/Set.tint/colorSpace", before="lin_ap1_scene", after="lin_ap0_scene"),
        Edit(place="/Gone.tint/value", before="1 0 0", after="1 1 1"),
        Edit(place="/Set.tint/nonsense", before="1 0 0", after="1 1 1"),
        Edit(place="nonsense", before="1 0 0", after="1 1 1"),
        Edit(place="/Set.tint/values", before="nonsense", after="lin_ap1_scene"),
        Edit(place="/Set.tint/value", before="1 0 0", after="1 1"),
        Edit(place="/Set.tint/colorSpace", before="", after="moonlight"),
    ):
        with pytest.raises(RefusedError):
            primed(root, [edit])


def test_a_second_run_on_the_layer_adds_to_it(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    target = primed(root, declare_all(read(root), "srgb_rec709_scene"))
    edits = convert_all(read(target), "lin_rec709_scene", "lin_ap1_scene")
    target.write_bytes(usd.primed(target, edits, target))
    scene = read(target)
    assert scene.uses[0].declared == "srgb_rec709_scene"
    assert at(scene, "/Set.tint").declared == "lin_ap1_scene"
    assert list(door.Sdf.Layer.FindOrOpen(str(target)).subLayerPaths) == ["./root.usda"]


# --- in place


def test_in_place(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    copy = layer(tmp_path / "copy", preview() + SET)
    root.write_bytes(usd.primed(root, declare_all(read(root), "srgb_rec709_scene"), root))
    changed = set(differences(copy, root))
    assert changed == {
        "/M/tex.inputs:file",
        "/M/tex.inputs:sourceColorSpace",
        "/M/tex.inputs:sourceColorSpace value",
        "/M/tex.inputs:sourceColorSpace times",
        "/M/tex.inputs:sourceColorSpace from",
    }


def test_in_place_binary(tmp_path: Path):
    text = layer(tmp_path, preview() + SET)
    root = tmp_path / "tea.usdc"
    door.Sdf.Layer.FindOrOpen(str(text)).Export(str(root))
    edits = declare_all(read(root), "srgb_rec709_scene")
    first = usd.primed(root, edits, root)
    assert first == usd.primed(root, edits, root)
    root.write_bytes(first)
    assert first.startswith(b"PXR-USDC")
    assert read(root).uses[0].declared == "srgb_rec709_scene"


def test_in_place_is_refused_where_another_layer_speaks(tmp_path: Path):
    layer(tmp_path, preview(), "mat.usda")
    root = layer(tmp_path, 'def "M" (\n    references = @./mat.usda@</M>\n)\n{\n}\n')
    with pytest.raises(RefusedError, match="--in-place"):
        usd.primed(root, declare_all(read(root), "srgb_rec709_scene"), root)


def test_in_place_keeps_no_comments_and_so_refuses(tmp_path: Path):
    root = layer(tmp_path, "# my own words\n" + preview())
    with pytest.raises(RefusedError, match="comments"):
        usd.primed(root, declare_all(read(root), "srgb_rec709_scene"), root)


# --- the whole scene


@pytest.fixture(scope="module")
def tea(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    from primecoat.demo.gltf_scene import gltf_scene
    from primecoat.demo.tableware import parts
    from primecoat.demo.usd_scene import usd_scene

    folder = tmp_path_factory.mktemp("tea")
    root = folder / "root.usda"
    root.write_text(usd_scene(gltf_scene(True)[0], parts()).text)
    scene = read(root)
    edits = [
        *convert_all(scene, "lin_rec709_scene", "lin_ap1_scene"),
        *(
            Edit(place=r.location.place, before=r.written, after=r.written + ".exr")
            for r in scene.references
        ),
    ]
    return root, primed(root, edits)


def test_tea_has_no_new_complaint(tea):
    root, target = tea

    def plain(found: set[str]) -> set[str]:
        return {c.replace(".exr", "") for c in found}

    assert plain(complaints(target)) <= plain(complaints(root))


def test_tea_differs_in_nothing_else(tea):
    root, target = tea
    scene = read(root)
    meant = {c.location.place for c in (*scene.colours, *scene.lights)}
    meant |= {r.location.place for r in scene.references}
    found = {k.split(" ")[0] for k in differences(root, target)}
    assert found <= meant | {k for k in found if k.endswith("primvars:displayColor")}
    assert len(found) >= len(meant) - 1, "white stays as it is, but says so now"


def test_tea_spaces_are_valid(tea):
    assert spaces_written(tea[1]) == {"lin_ap1_scene"}
    assert all(door.Gf.ColorSpace.IsValid(s) for s in spaces_written(tea[1]))


def test_a_scene_read_twice_is_the_same(tmp_path: Path):
    root = instances(tmp_path)
    assert read(root) == read(root)
    assert scene_of(tmp_path, SET) == scene_of(tmp_path, SET)
