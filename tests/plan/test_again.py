"""Plans after plans: what earlier runs did is known, and nothing is done twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat import workflow


def settle(target: Path, image: str, reading: str) -> None:
    """Record a person's word."""
    workflow.decide(workflow.survey(target, workers=1), image, reading)


@pytest.mark.parametrize("in_place", [False, True])
@pytest.mark.parametrize("target", ["tea.gltf", "."])
def test_a_second_plan_is_empty(tmp_path: Path, target: str, in_place: bool) -> None:
    """Once primed, neither the scene nor the folder gives an operation, a hold or a finding."""
    s.pictures(tmp_path, "bowl.png", "rough.png")
    s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"), ("rough.png", "metal"))
    assert len(workflow.apply(s.plan(tmp_path / target, in_place=in_place))) == 3
    again = s.plan(tmp_path / target, in_place=in_place)
    assert (again.operations, again.held, again.findings) == ((), (), ())


@pytest.mark.parametrize("target", ["tea.gltf", "tea.primed.gltf", "."])
def test_what_was_held_can_follow_later(tmp_path: Path, target: str) -> None:
    """A word given after the first run adds that one image; the first run's names stay."""
    s.pictures(tmp_path, "bowl.png", "both.png")
    scene = s.gltf(
        tmp_path / "tea.gltf",
        ("bowl.png", "base_color"),
        ("both.png", "occlusion"),
        ("both.png", "emissive"),
    )
    workflow.apply(s.plan(scene))
    new = tmp_path / "tea.primed.gltf"
    assert s.uris(new) == [f"bowl_{s.SRGB}.png", "both.png", "both.png"]
    text = scene.read_text().replace("emissiveTexture", "normalTexture")
    scene.write_text(text)
    workflow.undo(scene)
    workflow.apply(s.plan(scene))
    assert s.uris(new) == [f"bowl_{s.SRGB}.png", "both_data.png", "both_data.png"]
    assert s.plan(tmp_path / target).operations == ()


@pytest.mark.parametrize("target", ["tea.csv", "tea.primed.csv", "."])
def test_a_word_given_later_adds_to_the_new_scene(tmp_path: Path, target: str) -> None:
    """Whichever target is named, the new scene ends with both names, written once."""
    s.pictures(tmp_path, "bowl.png", "sky.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"bowl.png,a,base_color,rgb,{s.SRGB},",
        "sky.png,sky,environment,rgb,,",
    )
    workflow.apply(s.plan(tmp_path if target == "." else scene))
    settle(tmp_path / target, "sky.png", s.SRGB)
    later = s.plan(tmp_path / target)
    assert s.targets(later) == [f"sky_{s.SRGB}.png", "tea.primed.csv"]
    workflow.apply(later)
    new = [row["path"] for row in s.cells(tmp_path / "tea.primed.csv")]
    assert new == [f"bowl_{s.SRGB}.png", f"sky_{s.SRGB}.png"]


def test_a_folder_tagged_first_can_be_declared_after(tmp_path: Path) -> None:
    """The second route goes on from the new scene, and does not fall back to the old one."""
    s.pictures(tmp_path, "bowl.png")
    s.sheet(tmp_path / "tea.csv", "bowl.png,a,roughness,r,,", ",c,base_color,,,1 0 0")
    workflow.apply(s.plan(tmp_path))
    found = workflow.survey(tmp_path, verify=True, workers=1, from_space="lin_rec709_scene")
    made = workflow.plan(found, "declare")
    assert s.told(made.operations) == [("write_scene", "tea.primed.csv", "tea.primed.csv")]
    workflow.apply(made)
    new = s.cells(tmp_path / "tea.primed.csv")
    assert [(row["path"], row["space"]) for row in new] == [
        ("bowl_data.png", "data"),
        ("", "lin_rec709_scene"),
    ]


def test_a_scene_that_joins_later_is_primed_with_the_folder(tmp_path: Path) -> None:
    """An original that one scene has left behind still counts while another uses it."""
    s.pictures(tmp_path, "shared.png")
    first = s.gltf(tmp_path / "first.gltf", ("shared.png", "base_color"))
    second = s.gltf(tmp_path / "second.gltf", ("shared.png", "base_color"))
    workflow.apply(s.plan(first))
    left = workflow.gate(workflow.survey(tmp_path, verify=True, workers=1)).left
    assert [entry.where for entry in left] == ["shared.png"]
    made = s.plan(tmp_path)
    assert s.told(made.operations) == [("write_scene", "second.gltf", "second.primed.gltf")]
    workflow.apply(made)
    assert s.uris(tmp_path / "second.primed.gltf") == [f"shared_{s.SRGB}.png"]
    assert workflow.gate(workflow.survey(tmp_path, verify=True, workers=1)).open
    assert s.uris(second) == ["shared.png"]


def test_a_new_scene_that_a_person_edited_is_not_written_over(tmp_path: Path) -> None:
    """Edits in the new scene are kept: the name counts as taken."""
    s.pictures(tmp_path, "bowl.png", "cup.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    workflow.apply(s.plan(scene))
    new = tmp_path / "tea.primed.gltf"
    new.write_text(new.read_text().replace("glaze 0", "my glaze"))
    s.gltf(scene, ("bowl.png", "base_color"), ("cup.png", "base_color"))
    made = s.plan(scene)
    assert "PC407" in s.codes(made)
    workflow.apply(made)
    assert "my glaze" in new.read_text()
