"""Real USD stages: every colour is found, changed where it was meant to be, and given back.

The count is made here anew, straight from usd-core (the door only imports its modules), and knows
nothing of how the survey walks.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.open_data.stages import PACKAGES, stage_folder, stages_of
from tests.scenes.usd_layers import complaints, differences, spaces_written

from primecoat import workflow
from primecoat.checks.survey import Survey
from primecoat.scenes.usd import door

pytest.importorskip("pxr")

pytestmark = pytest.mark.open_data

MADE_IN, WORKING = "lin_rec709_scene", "lin_ap1_scene"
RENDERING = "renderingColorSpace"

COLOURED = {
    "newton": (
        "examples/assets/boxes_fourbar.usda",
        "examples/assets/cartpole.usda",
        "examples/assets/palletizer_scene.usda",
        "tests/assets/ant_multi.usda",
        "tests/assets/cartpole_mjc.usda",
        "tests/assets/humanoid_mjc.usda",
        "tests/assets/kamino/basics/box_on_plane.usda",
        "tests/assets/kamino/basics/box_pendulum.usda",
        "tests/assets/kamino/basics/boxes_fourbar.usda",
        "tests/assets/kamino/basics/boxes_hinged.usda",
        "tests/assets/kamino/basics/boxes_nunchaku.usda",
    ),
    "ansys-tools-usdviewer": (
        "examples/display_color.usda",
        "examples/display_color_vtk.usda",
        "examples/robot_walk_idle.usdz",
        "examples/warp_demo_mesh.usda",
    ),
}
"""The stages in which a colour is written; a test below holds that there are no others."""

NO_PICTURES = {"/" + "root/sphere_vtk.Asset"}
"""Written asset paths that name no picture: a mesh."""


@dataclass(frozen=True, slots=True)
class Count:
    """What a stage holds: colour-typed attributes, fallbacks of colour textures, asset paths."""

    colours: dict[str, Any]
    fallbacks: dict[str, Any]
    assets: dict[str, str]
    lights: set[str]
    settings: set[str]


def count(path: Path) -> Count:
    """Count straight from usd-core, in all prims that take part and in what instances share.

    Prims that are inactive, not loaded or never defined take part in nothing.
    """
    stage = door.Usd.Stage.Open(str(path))
    prims = [
        *stage.Traverse(),
        *(p for top in stage.GetPrototypes() for p in door.Usd.PrimRange(top)),
    ]
    found = Count({}, {}, {}, set(), set())
    for prim in prims:
        assert not prim.HasVariantSets()  # so there is nothing to select
        if prim.HasAPI(door.UsdLux.LightAPI):
            found.lights.add(f"{prim.GetPath()}.inputs:color")
        if prim.GetTypeName() == "RenderSettings":
            found.settings.add(f"{prim.GetPath()}.{RENDERING}")
        for attribute in prim.GetAttributes():
            place = str(attribute.GetPath())
            if attribute.GetRoleName() == "Color":
                _fallbacks(stage, attribute, found.fallbacks)
                if attribute.HasAuthoredValue():
                    assert not attribute.GetNumTimeSamples()
                    found.colours[place] = np.array(attribute.Get()).reshape(-1, 3)
            elif attribute.HasAuthoredValue() and "asset" in str(attribute.GetTypeName()):
                assert attribute.GetTypeName() == door.Sdf.ValueTypeNames.Asset
                found.assets[place] = attribute.GetColorSpace()
    return found


def _fallbacks(stage: Any, attribute: Any, found: dict[str, Any]) -> None:
    """Add the fallback of a texture that gives an attribute its colour.

    Source: *UsdPreviewSurface Specification* 2.5, Texture Reader: ``fallback`` is the output of the
    texture where it cannot be read; its type is float4, without a role.
    """
    for end in attribute.GetConnections():
        texture = stage.GetPrimAtPath(end.GetPrimPath())
        fallback = texture.GetAttribute("inputs:fallback")
        if end.name == "outputs:rgb" and fallback and fallback.HasAuthoredValue():
            found[str(fallback.GetPath())] = np.array(fallback.Get()).reshape(-1, 4)[:, :3]


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return a folder of our own with the stages of each package."""
    made = {}
    for package in PACKAGES:
        made[package] = tmp_path_factory.mktemp("stages") / package
        shutil.copytree(stage_folder(package), made[package])
    return made


@pytest.fixture
def scene(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Return a copy of one stage, with the layers that it is composed of."""
    package, name = map(str, request.param)
    original = stage_folder(package) / name
    stage = door.Usd.Stage.Open(str(original))
    for layer in stage.GetUsedLayers(includeClipLayers=True):
        file = Path(layer.realPath.split("[")[0])
        if not layer.anonymous:
            assert file.parent == original.parent
            shutil.copy(file, tmp_path)
    return tmp_path / original.name


def survey_of(path: Path) -> Survey:
    return workflow.survey(path, verify=True, from_space=MADE_IN)


@pytest.mark.parametrize("package", PACKAGES)
def test_found_equals_an_independent_count(package: str, folders: dict[str, Path]) -> None:
    """Every colour is found in every stage, and a light whose colour is not written is told."""
    coloured = set()
    for name, path in stages_of(folders[package]).items():
        readings, wanted = survey_of(path).readings, count(path)
        values = [c.value for c in (*readings.colours, *readings.lights)]
        places = [value.location.place for value in values]
        assert len(places) == len(set(places)), name
        written = {*wanted.colours, *wanted.fallbacks}
        assert set(places) == written | wanted.lights, name
        pictures = {r.location.place for s in readings.inventory.scenes for r in s.references}
        assert pictures == set(wanted.assets) - NO_PICTURES, name
        for value in values:
            numbers = {**wanted.colours, **wanted.fallbacks}.get(value.location.place)
            if numbers is not None:
                assert value.count == len(numbers), name
                assert np.array_equal(value.value, numbers.min(axis=0).astype(float)), name
                assert np.array_equal(
                    value.maximum or value.value, numbers.max(axis=0).astype(float)
                ), name
        if written:
            coloured.add(name)
    assert coloured == set(COLOURED[package])


LARGE = "tests/assets/ant_multi.usda"
"""A stage of 4,113 prims with one colour: by one route only, for the time it takes."""

EACH = [
    pytest.param((package, name), route, id=f"{name}-{route}")
    for package, names in COLOURED.items()
    for name in names
    for route in ("declare", "bake")
    if (name, route) != (LARGE, "bake")
]


@pytest.mark.parametrize(("scene", "route"), EACH, indirect=["scene"])
def test_changed_in_what_was_meant_and_in_nothing_else(scene: Path, route: str) -> None:
    """By either route each colour says its space and nothing else differs; undo gives all back."""
    wanted, before = count(scene), content(scene.parent)
    colours = {**wanted.colours, **wanted.fallbacks}
    survey = survey_of(scene)
    plan = workflow.plan(survey, route, with_likely=True)
    workflow.apply(plan)
    primed = scene.with_name(f"{scene.stem}.primed.usda")
    readings = survey.readings
    exceptions = {c.value.location.place for c in readings.colours if c.value.exception}

    space = MADE_IN if route == "declare" else WORKING
    stage = door.Usd.Stage.Open(str(primed))
    found = {place: stage.GetAttributeAtPath(place) for place in colours}
    changed = {place for place, attribute in found.items() if attribute.GetColorSpace() == space}
    assert changed == set(colours) - exceptions
    for place in changed:
        same = exact(colours[place], space)
        now = np.array(found[place].Get()).reshape(len(same), -1)[:, :3]
        assert np.abs(now - same).max() <= (0 if route == "declare" else 1e-6), place

    # a picture in a package is not baked, and then stays as it was declared
    files = {
        p for p, said in wanted.assets.items() if said and not door.Gf.ColorSpace.IsValid(said)
    }
    meant = changed | wanted.settings | (files if route == "declare" else set())
    difference = differences(scene, primed)
    assert {key.split(" ")[0] for key in difference} == meant
    values = {key.split(" ")[0] for key in difference if key.endswith((" value", " times"))}
    assert values <= wanted.settings | (changed if route == "bake" else set())
    assert {stage.GetAttributeAtPath(place).Get() for place in wanted.settings} <= {WORKING}

    assert complaints(primed) <= complaints(scene)
    assert all(map(door.Gf.ColorSpace.IsValid, spaces_written(primed)))
    if route == "declare":
        said = {a.GetColorSpace() for p in stage.Traverse() for a in p.GetAttributes()} - {""}
        assert all(map(door.Gf.ColorSpace.IsValid, said))
        assert workflow.gate(workflow.survey(primed, verify=True)).left == ()
    assert not workflow.plan(survey_of(scene), route, with_likely=True).operations

    workflow.undo(scene)
    assert content(scene.parent) == before


def exact(colours: Any, space: str) -> Any:
    """Return colours in another space, as usd-core itself converts them."""
    if space == MADE_IN:
        return colours
    to, source = door.Gf.ColorSpace(space), door.Gf.ColorSpace(MADE_IN)
    return np.array([to.Convert(source, door.Gf.Vec3f(*c.tolist())).GetRGB() for c in colours])


def content(folder: Path) -> dict[str, bytes]:
    """Return every file of the artist's in a folder."""
    files = (p for p in folder.rglob("*") if p.is_file() and ".primecoat" not in p.parts)
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files}


@pytest.mark.parametrize(
    "name", ["examples/assets/ant.usda", "examples/assets/sensor_contact_scene.usda"]
)
def test_a_light_whose_colour_is_not_written_leaves_nothing_to_a_guess(
    name: str, folders: dict[str, Path]
) -> None:
    """White is white in every space, so there is nothing to declare and nothing is missing."""
    survey = workflow.survey(folders["newton"] / name, verify=True)
    (light,) = survey.readings.lights
    assert light.value.value == (1.0, 1.0, 1.0)
    assert light.working == pytest.approx((1.0, 1.0, 1.0), abs=1e-6)
    assert workflow.gate(survey).left == ()
    assert workflow.plan(survey, "declare").operations == ()
