"""USD: the whole tea set, declared and converted, is still valid and otherwise the same."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.scenes.usd_layers import complaints, differences, primed, read, spaces_written
from tests.scenes.usd_stages import (
    convert_all,
)

from primecoat.scenes.model import Edit
from primecoat.scenes.usd import door

pytest.importorskip("pxr")


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
