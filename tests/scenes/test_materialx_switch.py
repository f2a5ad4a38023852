"""MaterialX: another working space, and everything that the old one governed pinned to it."""

from __future__ import annotations

from pathlib import Path

import MaterialX as mx
import pytest
from tests.scenes.materialx_documents import ROOT, write

from primecoat.errors import RefusedError
from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_file import read_document
from primecoat.scenes.materialx_switch import edits_of_switch

LIBRARIES = sorted(Path(mx.__file__).parent.glob("libraries/**/*.mtlx"))


SWITCHED = (
    '<nodegraph name="g"><input name="f" type="filename" value="a.png"/>'
    '<input name="c" type="color3" value="0.5,0.2,0.1"/>'
    '<image name="i" type="color3"><input name="file" type="filename" interfacename="f"/></image>'
    '<image name="v" type="vector3"><input name="file" type="filename" value="n.png"/></image>'
    '<multiply name="m" type="color3" colorspace="srgb_texture">'
    '<input name="in1" type="color3" nodename="i"/><input name="in2" type="color3" value="1,0,0"/>'
    '</multiply><output name="o" type="color3" nodename="m"/></nodegraph>'
    '<standard_surface name="s" type="surfaceshader">'
    '<input name="base_color" type="color3" nodegraph="g"/>'
    '<input name="opacity" type="color3" value="1,1,1"/>'
    '<input name="coat_color" type="color3" value="1,0,0"/></standard_surface>'
)


def test_another_working_space_pins_what_it_governs(tmp_path: Path):
    """The root changes, and everything it governed says its old space; nothing else is touched."""
    path = write(tmp_path, ROOT, SWITCHED)
    data = path.read_bytes()
    edits = edits_of_switch(read_document(path, "s.mtlx"), "lin_ap1_scene")
    assert {e.place for e in edits} == {
        "/@colorspace",
        "/g/f@colorspace",
        "/g/c@colorspace",
        "/g/i/file@colorspace",
        "/s/coat_color@colorspace",
    }
    changed = materialx.edit(data, edits)
    assert materialx.edit(changed, [e.reverse() for e in edits]) == data
    before = {x.location: x.declared for x in colours_and_uses(path)}
    path.write_bytes(changed)
    assert {x.location: x.declared for x in colours_and_uses(path)} == before
    assert read_document(path, "s.mtlx").root.get("colorspace") == "acescg"
    assert edits_of_switch(read_document(path, "s.mtlx"), "lin_ap1_scene") == ()


def colours_and_uses(path: Path):
    scene = materialx.read(path, "s.mtlx")
    return (*(c for c in scene.colours if not c.exception), *scene.uses)


@pytest.mark.parametrize("path", LIBRARIES, ids=lambda p: p.name)
def test_switch_keeps_every_space_in_real_documents(tmp_path: Path, path: Path):
    """In the library's documents no colour, and no image, changes its effective space."""
    text = path.read_text(encoding="utf-8")
    root = text[text.index("<materialx") :].partition(">")[0]
    if "colorspace" not in root:
        text = text.replace("<materialx ", '<materialx colorspace="acescg" ', 1)
    target = tmp_path / "s.mtlx"
    target.write_text(text, encoding="utf-8")
    before = {x.location: x.declared for x in colours_and_uses(target)}
    to_space = "lin_ap1_scene" if "lin_rec709" in root else "lin_rec709_scene"
    edits = edits_of_switch(read_document(target, "s.mtlx"), to_space)
    assert edits
    target.write_bytes(materialx.edit(target.read_bytes(), edits))
    assert {x.location: x.declared for x in colours_and_uses(target)} == before


def test_switch_is_refused_where_it_would_change_what_is_included(tmp_path: Path):
    path = write(tmp_path, ROOT, '<xi:include href="bare.mtlx"/>')
    with pytest.raises(RefusedError, match=r"bare\.mtlx"):
        edits_of_switch(read_document(path, "s.mtlx"), "lin_ap1_scene")
    path = write(tmp_path, ROOT, '<xi:include href="with.mtlx"/>')
    (edit,) = edits_of_switch(read_document(path, "s.mtlx"), "lin_ap1_scene")
    assert edit.place == "/@colorspace"


def test_switch_to_a_space_without_a_name_is_refused(tmp_path: Path):
    path = write(tmp_path, ROOT, SWITCHED)
    with pytest.raises(RefusedError, match="lin_rec2020_scene"):
        edits_of_switch(read_document(path, "s.mtlx"), "lin_rec2020_scene")
