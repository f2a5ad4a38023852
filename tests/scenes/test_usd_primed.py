"""The layer above a scene: it holds what was asked for, and changes nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.scenes.usd_layers import SET, differences, hashes, primed, read
from tests.scenes.usd_stages import (
    at,
    convert_all,
    declare_all,
    layer,
    preview,
)

from primecoat.errors import RefusedError
from primecoat.scenes.formats import usd
from primecoat.scenes.model import Edit
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
    assert usd.changed(root, edits, target) == usd.changed(root, edits[::-1], target)


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
    target.write_bytes(usd.changed(root, [edit], target))
    (reference,) = read(target).references
    assert (target.parent / reference.text).resolve() == tmp_path / "lib" / "tex" / "cup_x.png"


def test_package_gets_a_layer_above(tmp_path: Path):
    from tests.scenes.test_usd_read import package

    source = package(tmp_path, preview())
    scene = usd.read(source, "tea.usdz")
    target = tmp_path / "tea.primed.usda"
    target.write_bytes(usd.changed(source, declare_all(scene, "srgb_rec709_scene"), target))
    found = usd.read(target, "tea.primed.usda")
    assert found.uses[0].declared == "srgb_rec709_scene"
    assert found.references[0].package == "tea.usdz[tex/cup.png]"


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
