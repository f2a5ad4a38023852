"""Real binary glTF scenes: every colour is found, and only what was meant to change does.

Source: the npm package ``@webxr-input-profiles/assets`` 1.0.20, licence MIT as it states it:
hand-held controllers. The count is made here anew, from the scenes' JSON.
"""

from __future__ import annotations

import json
import re
import struct
import tarfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.open_data.gltf_validator import Complaint, complaints, fetched_validator
from tests.open_data.npm import cached_archive
from tests.open_data.pictures import SOURCES, package_folder

from primecoat import workflow
from primecoat.scenes.formats import gltf

pytestmark = pytest.mark.open_data

PACKAGE = "@webxr-input-profiles/assets"
CHANGED = (
    "generic-trigger-touchpad-thumbstick/right",
    "hp-mixed-reality/right",
    "magicleap-one/none",
    "microsoft-mixed-reality/left",
    "pico-4/left",
)
"""Scenes of different makers that are changed: pictures with and without names, one to four."""


@pytest.fixture(scope="module")
def scenes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return every scene of the package by its profile and hand."""
    package_folder(PACKAGE)  # fetches the archive, or says why not
    folder, found = tmp_path_factory.mktemp("scenes"), {}
    with tarfile.open(cached_archive(SOURCES[PACKAGE].package)) as members:
        for member in members:
            stream = members.extractfile(member) if member.name.endswith(".glb") else None
            if stream:
                name = "/".join(Path(member.name).with_suffix("").parts[-2:])
                found[name] = folder / f"{name}.glb"
                found[name].parent.mkdir(exist_ok=True)
                found[name].write_bytes(stream.read())
    return found


def chunks(scene: Path) -> tuple[dict[str, Any], bytes]:
    """Return the JSON of a GLB, and the rest of the file. Source: glTF 2.0, section 4.4."""
    data = scene.read_bytes()
    length = struct.unpack_from("<I", data, 12)[0]
    return json.loads(data[20 : 20 + length]), data[20 + length :]


def written_colours(document: dict[str, Any]) -> Iterator[str]:
    """Yield the place of every colour.

    In a material: all lists of three or four numbers, which glTF 2.0 and its ratified material
    extensions use for colours alone. In a mesh: the attribute ``COLOR_0``. Then the lights.
    """

    def lists(value: Any, place: str) -> Iterator[str]:
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from lists(inner, f"{place}/{key}")
        elif isinstance(value, list) and len(value) in (3, 4):
            yield place

    for number, material in enumerate(document.get("materials", ())):
        yield from lists(material, f"/materials/{number}")
    for number, mesh in enumerate(document.get("meshes", ())):
        for part, primitive in enumerate(mesh["primitives"]):
            for name in primitive["attributes"]:
                if name.startswith("COLOR_"):
                    yield f"/meshes/{number}/primitives/{part}/attributes/{name}"
    punctual = document.get("extensions", {}).get("KHR_lights_punctual", {})
    for number, _ in enumerate(punctual.get("lights", ())):
        yield f"/extensions/KHR_lights_punctual/lights/{number}/color"


def test_found_equals_an_independent_count(scenes: dict[str, Path]) -> None:
    """Every colour and picture of all scenes is found, and none else."""
    total: Counter[str] = Counter()
    for name, path in scenes.items():
        scene, (document, _) = gltf.read(path, path.name), chunks(path)
        wanted = sorted(written_colours(document))
        assert sorted(v.location.place for v in (*scene.colours, *scene.lights)) == wanted, name
        pictures = {f"/images/{n}" for n, _ in enumerate(document.get("images", ()))}
        found = {re.sub(r"(/images/\d+).*", r"\1", r.location.place) for r in scene.references}
        assert found == pictures, name
        assert not scene.problems, name
        total.update(scenes=1, colours=len(wanted), pictures=len(pictures))
    assert (total["scenes"], total["colours"], total["pictures"]) == (82, 108, 184)


@pytest.fixture(scope="module")
def check() -> Callable[[Path], Counter[Complaint]]:
    """Return the function that asks a public validator."""
    validator = fetched_validator()
    return lambda scene: complaints(validator, scene)


@pytest.mark.parametrize("name", CHANGED)
def test_changed_in_what_was_meant_and_in_nothing_else(
    name: str,
    scenes: dict[str, Path],
    tmp_path: Path,
    check: Callable[[Path], Counter[Complaint]],
) -> None:
    """The tag route gives the pictures files of their own; undo gives the folder back."""
    scene = tmp_path / "scene.glb"
    scene.write_bytes(scenes[name].read_bytes())
    survey = workflow.survey(scene, verify=True)
    workflow.apply(workflow.plan(survey, "tag", with_likely=True))
    primed = tmp_path / "scene.primed.glb"
    (before, binary), (after, now) = chunks(scene), chunks(primed)
    assert now == binary
    moved = 0
    for old, new in zip(before["images"], after["images"], strict=True):
        if old != new:
            view = before["bufferViews"][old.pop("bufferView")]
            first = 8 + view.get("byteOffset", 0)
            content = binary[first : first + view["byteLength"]]
            assert (tmp_path / new.pop("uri")).read_bytes() == content
            moved += 1
    assert after == before
    assert moved
    fresh = check(primed) - check(scene)
    assert not [c for c in fresh if c.severity in ("error", "warning")]
    workflow.undo(scene)
    left = [p.name for p in tmp_path.rglob("*") if p.is_file() and ".primecoat" not in p.parts]
    assert left == ["scene.glb"]
    assert scene.read_bytes() == scenes[name].read_bytes()
