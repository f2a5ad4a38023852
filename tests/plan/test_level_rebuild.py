"""Smaller levels of data pictures are made anew only where asked, and can be taken back."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from tests.bake.files import values, write
from tests.bake.test_mips import area_mean, levels_of
from tests.plan import small as s

from primecoat import workflow
from primecoat.documents import dumps
from primecoat.errors import InputError, UseError
from primecoat.files import sha256_of
from primecoat.plan.operations import BakeImage, as_document, from_document
from primecoat.plan.plan import Plan

ROWS = (
    f"bowl_normal.png,bowl,normal,rgb,{s.DATA},",
    f"bowl_roughness.png,bowl,roughness,r,{s.DATA},",
    f"bowl.png,bowl,base_color,rgb,{s.SRGB},",
)


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    vectors = np.random.default_rng(3).normal(size=(12, 20, 3))
    vectors[..., 2] = np.abs(vectors[..., 2]) + 0.5
    vectors /= np.linalg.norm(vectors, axis=-1, keepdims=True)
    write(tmp_path / "bowl_normal.png", np.rint((vectors + 1) / 2 * 255).astype(np.uint8))
    write(tmp_path / "bowl_roughness.png", (np.indices((8, 8)).sum(0) % 2 * 255).astype(np.uint8))
    s.pictures(tmp_path, "bowl.png")
    return s.sheet(tmp_path / "tea.csv", *ROWS)


def planned(target: Path, *wanted: str) -> Plan:
    found = workflow.survey(target, verify=True, workers=1)
    return workflow.plan(found, "bake", data_levels=wanted)


def levels(plan: Plan) -> dict[str, str]:
    return {
        one.target: one.levels_of
        for one in plan.operations
        if isinstance(one, BakeImage) and one.levels_of
    }


def test_none_is_made_unasked(scene: Path):
    assert levels(planned(scene)) == {}


def test_by_slot_and_by_path(scene: Path):
    assert levels(planned(scene, "normal")) == {"bowl_normal_data.tif": "normal"}
    assert levels(planned(scene, "bowl_roughness.png")) == {"bowl_roughness_data.tif": "data"}


def test_made_and_taken_back(scene: Path):
    before = {path: path.read_bytes() for path in scene.parent.iterdir() if path.is_file()}
    workflow.apply(planned(scene, "normal", "roughness"))
    primed = scene.with_name("tea.primed.csv").read_text("utf-8")
    assert "bowl_normal_data.tif,bowl,normal" in primed
    assert "bowl_roughness_data.tif,bowl,roughness" in primed
    codes = levels_of(scene.with_name("bowl_normal.png"))[0]
    whole, *smaller = levels_of(scene.with_name("bowl_normal_data.tif"))
    assert np.array_equal(whole, codes)
    mean = values(codes) * 2 - 1
    for level in smaller:
        mean = area_mean(mean, level.shape[1], level.shape[0])
        unit = mean / np.linalg.norm(mean, axis=-1, keepdims=True)
        assert np.abs(values(level) * 2 - 1 - unit).max() <= 1 / 255 + 1e-5
    assert levels_of(scene.with_name("bowl_roughness_data.tif"))[-1].ravel().tolist() == [128]
    workflow.undo(scene)
    assert before == {path: path.read_bytes() for path in scene.parent.iterdir() if path.is_file()}


def test_none_is_made_twice(scene: Path):
    wanted = ("normal", "roughness")
    workflow.apply(planned(scene, *wanted))
    assert planned(scene, *wanted).operations == ()
    primed = scene.with_name("tea.primed.csv")
    assert planned(primed, *wanted).operations == ()


def test_the_same_bytes_each_time(scene: Path):
    hashes = []
    for _ in range(2):
        workflow.apply(planned(scene, "normal"))
        hashes.append(sha256_of(scene.with_name("bowl_normal_data.tif")))
        workflow.undo(scene)
    assert hashes[0] == hashes[1]


def test_signed_normals_keep_their_sign(tmp_path: Path):
    vectors = np.zeros((8, 8, 3), np.float16)
    vectors[..., 0], vectors[..., 2] = -0.6, 0.8
    write(tmp_path / "bowl_normal.exr", vectors)
    scene = s.sheet(tmp_path / "tea.csv", f"bowl_normal.exr,bowl,normal,rgb,{s.DATA},")
    plan = planned(scene, "normal")
    assert levels(plan) == {"bowl_normal_data.exr": "signed normal"}
    workflow.apply(plan)
    smallest = levels_of(tmp_path / "bowl_normal_data.exr")[-1]
    assert smallest[0, 0].astype(float) == pytest.approx([-0.6, 0, 0.8], abs=1e-3)
    assert OpenEXR.File(str(tmp_path / "bowl_normal_data.exr")).header()["tiles"]


def test_a_colour_picture_is_held(scene: Path):
    held = planned(scene, "bowl.png").held
    assert [(one.where, one.why) for one in held] == [
        ("bowl.png", f"It is read as {s.SRGB}, and levels are made of data as data only.")
    ]


def test_two_channels_hold_no_three_part_normals(tmp_path: Path):
    write(tmp_path / "bowl_normal.png", np.full((8, 8), 128, np.uint8))
    scene = s.sheet(tmp_path / "tea.csv", f"bowl_normal.png,bowl,normal,rgb,{s.DATA},")
    assert "hold no normals" in planned(scene, "normal").held[0].why


def test_a_standard_that_takes_no_levels(tmp_path: Path):
    s.pictures(tmp_path, "bowl_normal.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl_normal.png", "normal"))
    assert any("takes no pictures that hold levels" in h.why for h in planned(scene, "normal").held)


def test_what_is_not_there_is_refused(scene: Path):
    with pytest.raises(UseError, match="neither a data slot nor an image"):
        planned(scene, "bowl_height.png")
    found = workflow.survey(scene, verify=True, workers=1)
    with pytest.raises(UseError, match="Only a bake"):
        workflow.plan(found, "tag", data_levels=("normal",))


def test_as_a_document_and_back(scene: Path):
    operation = planned(scene, "normal").operations[0]
    document = json.loads(dumps(as_document(operation)))
    assert from_document(document) == operation
    with pytest.raises(InputError, match="cannot be understood"):
        from_document({**document, "levels_of": "paint"})


def test_a_name_that_says_data_already_gets_another(tmp_path: Path):
    write(tmp_path / "bowl_data.tif", np.full((8, 8, 1), 9, np.uint8))
    scene = s.sheet(tmp_path / "tea.csv", f"bowl_data.tif,bowl,roughness,r,{s.DATA},")
    plan = planned(scene, "roughness")
    assert levels(plan) == {"bowl_levels_data.tif": "data"}
    workflow.apply(plan)
    assert planned(tmp_path / "tea.primed.csv", "roughness").operations == ()


def test_a_source_that_changed_is_told(scene: Path):
    workflow.apply(planned(scene, "roughness"))
    write(scene.with_name("bowl_roughness.png"), np.full((8, 8), 9, np.uint8))
    plan = planned(scene, "roughness")
    assert levels(plan) == {}
    assert "was made before bowl_roughness.png changed" in plan.held[0].why


@pytest.mark.parametrize("third", [0, 128, 255])
def test_x_and_y_alone_are_held(tmp_path: Path, third: int):
    """Two-part normals in three channels: made 1 long with that third, they would be ruined."""
    codes = np.random.default_rng(1).integers(40, 215, (16, 16, 3), np.uint8)
    codes[..., 2] = third
    write(tmp_path / "bowl_normal.png", codes)
    scene = s.sheet(tmp_path / "tea.csv", f"bowl_normal.png,bowl,normal,rgb,{s.DATA},")
    assert planned(scene, "normal").operations == ()


def test_a_little_below_zero_is_no_signed_map(tmp_path: Path):
    vectors = np.zeros((8, 8, 3), np.float16)
    vectors[..., 0], vectors[..., 2] = -0.6, 0.8
    packed = (vectors + 1) / 2
    packed[0, 0] = -0.001, 0.5, 0.5  # x = -1, as a filter leaves it
    write(tmp_path / "bowl_normal.exr", packed)
    scene = s.sheet(tmp_path / "tea.csv", f"bowl_normal.exr,bowl,normal,rgb,{s.DATA},")
    assert levels(planned(scene, "normal")) == {"bowl_normal_data.exr": "normal"}


def test_ids_and_mixed_numbers_are_held_in_the_plan(tmp_path: Path):
    planes = {name: np.ones((8, 8), np.float16) for name in "RGB"}
    own = {"R": np.ones((8, 8), np.float32)}
    ids = {"id": np.ones((8, 8), np.uint32)}
    header = {"compression": OpenEXR.ZIP_COMPRESSION, "type": OpenEXR.scanlineimage}
    OpenEXR.File(header, planes | own).write(str(tmp_path / "a.exr"))
    OpenEXR.File(header, planes | ids).write(str(tmp_path / "b.exr"))
    rows = [f"{name}.exr,bowl,mask,rgb,{s.DATA}," for name in "ab"]
    plan = planned(s.sheet(tmp_path / "tea.csv", *rows), "mask")
    assert levels(plan) == {}
    assert sorted(held.where for held in plan.held) == ["a.exr", "b.exr"]
