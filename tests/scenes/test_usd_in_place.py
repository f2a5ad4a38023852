"""USD: a second run on a layer made before, and scenes changed in place."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_layers import SET, differences, primed, read
from tests.scenes.usd_stages import (
    at,
    convert_all,
    declare_all,
    layer,
    preview,
)

from primecoat.errors import RefusedError
from primecoat.scenes.formats import usd
from primecoat.scenes.usd import door

pytest.importorskip("pxr")


def test_a_second_run_on_the_layer_adds_to_it(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    target = primed(root, declare_all(read(root), "srgb_rec709_scene"))
    edits = convert_all(read(target), "lin_rec709_scene", "lin_ap1_scene")
    target.write_bytes(usd.changed(target, edits, target))
    scene = read(target)
    assert scene.uses[0].declared == "srgb_rec709_scene"
    assert at(scene, "/Set.tint").declared == "lin_ap1_scene"
    assert list(door.Sdf.Layer.FindOrOpen(str(target)).subLayerPaths) == ["./root.usda"]


def test_in_place(tmp_path: Path):
    root = layer(tmp_path, preview() + SET)
    copy = layer(tmp_path / "copy", preview() + SET)
    root.write_bytes(usd.changed(root, declare_all(read(root), "srgb_rec709_scene"), root))
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
    first = usd.changed(root, edits, root)
    assert first == usd.changed(root, edits, root)
    root.write_bytes(first)
    assert first.startswith(b"PXR-USDC")
    assert read(root).uses[0].declared == "srgb_rec709_scene"


def test_in_place_is_refused_where_another_layer_speaks(tmp_path: Path):
    layer(tmp_path, preview(), "mat.usda")
    root = layer(tmp_path, 'def "M" (\n    references = @./mat.usda@</M>\n)\n{\n}\n')
    with pytest.raises(RefusedError, match="--in-place"):
        usd.changed(root, declare_all(read(root), "srgb_rec709_scene"), root)


def test_in_place_keeps_no_comments_and_so_refuses(tmp_path: Path):
    root = layer(tmp_path, "# my own words\n" + preview())
    with pytest.raises(RefusedError, match="comments"):
        usd.changed(root, declare_all(read(root), "srgb_rec709_scene"), root)
