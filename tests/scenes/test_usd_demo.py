"""The tea scene as USD says the same as the glTF, where both can say it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from primecoat.demo.gltf_scene import gltf_scene
from primecoat.demo.gltf_uses import gltf_colours, gltf_uses
from primecoat.demo.tableware import parts
from primecoat.demo.usd_scene import SKY, UsdScene, usd_scene
from primecoat.scenes.formats import gltf, usd
from primecoat.scenes.model import DATA_SLOTS, Scene
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

ONLY_GLTF = {("base_color", (0.36, 0.21, 0.26)), ("transmission_color", (0.32, 0.45, 0.06))}
"""Factors that the shading models taken have no input for; named in ``cannot``."""


@pytest.fixture(scope="module", params=[True, False], ids=["clean", "faulted"])
def both(request, tmp_path_factory) -> tuple[Path, UsdScene]:
    folder = tmp_path_factory.mktemp("tea")
    document, buffer = gltf_scene(request.param)
    made = usd_scene(document, parts())
    (folder / "tea.usda").write_text(made.text)
    (folder / "tea.bin").write_bytes(buffer)
    import json

    (folder / "tea.gltf").write_text(json.dumps(document))
    return folder, made


def spoken(scene: Scene) -> set[tuple[str, str, str, str, str]]:
    found = set()
    for use in scene.uses:
        text = scene.references[use.reference].text.removeprefix("./")
        reading = use.fixed or use.declared or ""
        if use.channels != "a":
            found.add((text, use.owner, use.slot, use.channels, reading))
    return found


def test_pictures(both):
    folder, made = both
    read = usd.read(folder / "tea.usda", "tea.usda")
    old = gltf.read(folder / "tea.gltf", "tea.gltf")
    sky = (SKY, "sky", "environment", "rgb", "lin_rec709_scene")
    assert spoken(read) == spoken(old) | {sky}
    assert not read.problems
    answers = {(u.path, u.owner, u.slot, u.channels) for u in made.uses}
    document = gltf_scene("cherry" in made.text)[0]
    assert answers >= {(u.path, u.owner, u.slot, u.channels) for u in gltf_uses(document)}
    assert answers == {
        (read.references[u.reference].text.removeprefix("./"), u.owner, u.slot, u.channels)
        for u in read.uses
    }


def test_colours(both):
    folder, made = both
    read = usd.read(folder / "tea.usda", "tea.usda")
    found = {c.location.place: c for c in (*read.colours, *read.lights)}
    assert {c.location for c in made.colours} == set(found)
    for answer in made.colours:
        value = found[answer.location]
        assert value.slot == answer.slot
        assert value.declared == "lin_rec709_scene"
        assert value.count == (answer.count or 1)
        assert np.abs(np.subtract(value.value, answer.low)).max() < 1e-6
        assert np.abs(np.subtract(value.maximum or value.value, answer.high)).max() < 1e-6
    shared = {(c.slot, tuple(c.low)) for c in made.colours}
    gltf_ones = {(c.slot, tuple(c.low)) for c in gltf_colours(gltf_scene(True)[0])}
    assert {(s, tuple(round(v, 6) for v in low)) for s, low in gltf_ones - shared} == ONLY_GLTF
    assert made.cannot


def test_no_slot_is_left_open(both):
    folder, _ = both
    read = usd.read(folder / "tea.usda", "tea.usda")
    assert "unknown" not in {u.slot for u in read.uses}
    assert {u.declared for u in read.uses if u.slot in DATA_SLOTS and u.channels != "a"} == {"data"}


def test_shapes_that_stand_twice_are_instances(both):
    stage = door.Usd.Stage.Open(str(both[0] / "tea.usda"))
    assert len(stage.GetPrototypes()) == 4
    assert stage.GetMetadata("metersPerUnit") == 1
    meshes = [
        p for p in stage.Traverse(door.Usd.TraverseInstanceProxies()) if p.GetTypeName() == "Mesh"
    ]
    assert len(meshes) == len([n for n in gltf_scene(True)[0]["nodes"] if "mesh" in n])
