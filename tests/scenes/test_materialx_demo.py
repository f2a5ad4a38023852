"""The tea scene as MaterialX: valid, and the same as in glTF for what both can express."""

from __future__ import annotations

from pathlib import Path

import MaterialX as mx
import pytest

from primecoat.demo.gltf_scene import gltf_scene
from primecoat.demo.gltf_uses import gltf_colours, gltf_uses
from primecoat.demo.materialx_nodes import plain_name
from primecoat.demo.materialx_scene import MaterialXScene, materialx_document
from primecoat.demo.sheet import sheet_rows
from primecoat.scenes.formats import materialx
from primecoat.scenes.materialx_names import reading_of
from primecoat.scenes.model import DATA_SLOTS, Scene


@pytest.fixture(scope="module", params=[False, True], ids=["faulted", "clean"])
def clean(request) -> bool:
    return bool(request.param)


@pytest.fixture(scope="module")
def made(clean: bool) -> MaterialXScene:
    return materialx_document(gltf_scene(clean)[0], sheet_rows(clean))


@pytest.fixture
def scene(made: MaterialXScene, tmp_path: Path) -> Scene:
    path = tmp_path / "tea.mtlx"
    path.write_text(made.text, encoding="utf-8")
    return materialx.read(path, "tea.mtlx")


def test_it_is_valid(made: MaterialXScene):
    """The library finds every node's definition and no fault; it does find one that is made."""
    library = mx.createDocument()
    mx.loadLibraries(["libraries"], mx.FileSearchPath(mx.__path__[0]), library)
    for text, valid in (
        (made.text, True),
        (made.text.replace('type="vector3"', 'type="wrong"'), False),
    ):
        document = mx.createDocument()
        mx.readFromXmlString(document, text)
        document.setDataLibrary(library)
        ok, words = document.validate()
        assert ok is valid, words
        nodes = [e for e in document.traverseTree() if isinstance(e, mx.Node)]
        assert nodes
        assert not valid or all(node.getNodeDef() for node in nodes)


def test_it_has_what_a_survey_should_meet(made: MaterialXScene):
    """All four shading models, a graph's interface, prefix, tiles, own and inherited spaces."""
    for model in ("standard_surface", "open_pbr_surface", "gltf_pbr", "UsdPreviewSurface"):
        assert f"<{model} " in made.text
    for sign in (
        "interfacename=",
        "fileprefix=",
        "&lt;UDIM&gt;",
        '_maps" colorspace="srgb_texture"',
    ):
        assert sign in made.text


def test_read_back_it_is_what_was_written(made: MaterialXScene, scene: Scene):
    """Every use and colour that was put in is found, and nothing more."""
    assert scene.problems == ()
    found = {(scene.references[u.reference].text, u.owner, u.slot, u.channels) for u in scene.uses}
    assert found == {(u.path, u.owner, u.slot, u.channels) for u in made.uses}
    values = {(c.location.place, c.slot, c.value) for c in (*scene.colours, *scene.lights)}
    assert values == {(c.location, c.slot, c.low) for c in made.colours}


def test_readings_are_those_of_gltf(made: MaterialXScene, scene: Scene, clean: bool):
    """A picture that both formats use for one thing has one reading: the standard's or ours."""
    theirs = {
        (u.path, plain_name(u.owner), u.slot, u.channels): (
            "data" if u.slot in DATA_SLOTS else "srgb_rec709_scene"
        )
        for u in gltf_uses(gltf_scene(clean)[0])
    }
    ours = {}
    for use in scene.uses:
        reading = use.fixed or reading_of(use.declared or "none")
        text = scene.references[use.reference].text
        ours[text, use.owner, use.slot, use.channels] = (
            "data" if use.slot in DATA_SLOTS else reading
        )
    both = set(ours) & set(theirs)
    assert {key: ours[key] for key in both} == {key: theirs[key] for key in both}
    assert set(theirs) - both == set()
    extra = {key[0] for key in set(ours) - both}
    assert extra <= {row.path for row in sheet_rows(clean)}


def test_colours_are_those_of_gltf_and_the_sheet(made: MaterialXScene, scene: Scene, clean: bool):
    """The numbers are the same; two that glTF holds have no place in the models taken here."""
    gltf = [(c.slot, c.low) for c in gltf_colours(gltf_scene(clean)[0]) if c.count is None]
    sheet = [(r.slot, tuple(map(float, r.value.split()))) for r in sheet_rows(clean) if r.value]
    ours = [(c.slot, c.value) for c in (*scene.colours, *scene.lights)]
    missing = [c for c in gltf + sheet if c not in ours]
    assert sorted(missing) == [
        ("base_color", (0.36, 0.21, 0.26)),
        ("transmission_color", (0.32, 0.45, 0.06)),
    ]
    assert len(ours) == len(gltf) + len(sheet) - len(missing)
    assert sum("diffuse_transmission" in w or "second" in w for w in made.cannot) == 2
    for colour in (*scene.colours, *scene.lights):
        stored = colour.location.place in made.stored
        assert colour.declared == ("srgb_texture" if stored else "lin_rec709")
