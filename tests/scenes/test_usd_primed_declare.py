"""USD: what a texture reader and its asset are declared as agree, or it is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_layers import primed, read, spaces_written
from tests.scenes.usd_stages import (
    declare_all,
    layer,
    preview,
)

from primecoat.errors import RefusedError
from primecoat.scenes.formats import usd
from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door

pytest.importorskip("pxr")


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
