from __future__ import annotations

from pathlib import Path

import pytest
from tests.plan import small as s

from primecoat import workflow


def two_scenes(folder: Path) -> tuple[Path, Path]:
    """Write two scenes that use one picture, and each one of its own."""
    s.pictures(folder, "shared.png", "cup.png", "pot.png")
    return (
        s.gltf(folder / "cup.gltf", ("shared.png", "base_color"), ("cup.png", "base_color")),
        s.gltf(folder / "pot.gltf", ("./shared.png", "base_color"), ("pot.png", "normal")),
    )


def test_a_picture_of_two_scenes_is_safe_by_default(tmp_path: Path) -> None:
    """Priming one scene leaves every file of the other as it was."""
    cup, pot = two_scenes(tmp_path)
    before = s.content(tmp_path)
    workflow.apply(s.plan(cup))
    after = s.content(tmp_path)
    assert {name: after[name] for name in before} == before
    assert workflow.survey(pot, workers=1).findings == ()


def test_a_picture_of_two_scenes_keeps_its_name_in_place(tmp_path: Path) -> None:
    """PC408 for the shared picture only; its reference stays, the other one goes on."""
    cup, pot = two_scenes(tmp_path)
    made = s.plan(cup, in_place=True)
    assert (s.codes(made), s.held(made)) == (["PC408"], ["shared.png"])
    assert "pot.gltf" in made.findings[0].message
    workflow.apply(made)
    assert s.uris(cup) == ["shared.png", f"cup_{s.SRGB}.png"]
    for scene in (cup, pot):
        assert workflow.survey(scene, workers=1).findings == ()


def test_a_folder_with_both_scenes_is_primed_whole_in_place(tmp_path: Path) -> None:
    """Both scenes follow the shared picture."""
    cup, pot = two_scenes(tmp_path)
    made = s.plan(tmp_path, in_place=True)
    assert (made.held, made.findings) == ((), ())
    workflow.apply(made)
    assert s.uris(cup) == [f"shared_{s.SRGB}.png", f"cup_{s.SRGB}.png"]
    assert s.uris(pot) == [f"./shared_{s.SRGB}.png", "pot_data.png"]
    assert sorted(s.content(tmp_path)) == sorted(
        ["cup.gltf", "pot.gltf", f"shared_{s.SRGB}.png", f"cup_{s.SRGB}.png", "pot_data.png"]
    )


def test_references_that_nothing_uses_follow_too(tmp_path: Path) -> None:
    """A viewer that loads every image of a scene still finds each one after a change of names."""
    s.pictures(tmp_path, "bowl.png", "spare.png")
    scene = s.gltf(
        tmp_path / "tea.gltf", ("bowl.png", "base_color"), unused=["./bowl.png", "spare.png"]
    )
    workflow.apply(s.plan(scene, in_place=True))
    assert s.uris(scene) == [f"bowl_{s.SRGB}.png", f"./bowl_{s.SRGB}.png", "spare.png"]
    assert all((tmp_path / uri).is_file() for uri in s.uris(scene))


@pytest.mark.parametrize("order", [("link.png", "real.png"), ("real.png", "link.png")])
def test_links_and_what_they_lead_to_keep_their_names_in_place(
    tmp_path: Path, order: tuple[str, str]
) -> None:
    """Renaming a link or the file behind it would break one of the two: both are held."""
    s.pictures(tmp_path, "real.png", "bowl.png")
    (tmp_path / "link.png").symlink_to("real.png")
    uses = [(name, "base_color") for name in (*order, "bowl.png")]
    made = s.plan(s.gltf(tmp_path / "tea.gltf", *uses), in_place=True)
    assert s.held(made) == ["link.png", "real.png"]
    assert s.targets(made) == [f"bowl_{s.SRGB}.png", "tea.gltf"]


def test_a_link_elsewhere_counts_as_the_file_behind_it(tmp_path: Path) -> None:
    """Another scene that reaches the picture through a link holds the name as well."""
    s.pictures(tmp_path, "real.png")
    (tmp_path / "link.png").symlink_to("real.png")
    s.gltf(tmp_path / "other.gltf", ("link.png", "base_color"))
    made = s.plan(s.gltf(tmp_path / "tea.gltf", ("real.png", "base_color")), in_place=True)
    assert (s.codes(made), made.operations) == (["PC408"], ())


def test_a_link_gets_a_second_name_by_default(tmp_path: Path) -> None:
    """The new name holds the bytes behind the link; link and file stay as they are."""
    s.pictures(tmp_path, "real.png")
    (tmp_path / "link.png").symlink_to("real.png")
    workflow.apply(s.plan(s.gltf(tmp_path / "tea.gltf", ("link.png", "base_color"))))
    new = tmp_path / f"link_{s.SRGB}.png"
    assert (new.is_symlink(), new.read_bytes()) == (False, s.png(0))
    assert (tmp_path / "link.png").readlink() == Path("real.png")


@pytest.mark.parametrize("what", ["read-only", "link"])
def test_a_locked_scene_keeps_its_images_names_in_place(tmp_path: Path, what: str) -> None:
    """Where the scene cannot be rewritten no image is renamed under it."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    if what == "link":
        scene.rename(tmp_path / "real.gltf")
        scene.symlink_to("real.gltf")
    else:
        scene.chmod(0o444)
    before = s.content(tmp_path)
    made = s.plan(scene, in_place=True)
    assert made.operations == ()
    assert s.held(made) == ["bowl.png"]
    workflow.apply(made)
    assert s.content(tmp_path) == before


def test_a_locked_sheet_is_found_by_the_declare_route_in_place(tmp_path: Path) -> None:
    """A read-only sheet is not rewritten under its own name, and that is said."""
    s.pictures(tmp_path, "bowl.png")
    scene = s.sheet(tmp_path / "tea.csv", "bowl.png,a,base_color,rgb,,")
    scene.chmod(0o444)
    made = s.plan(scene, "declare", in_place=True, with_likely=True)
    assert (s.codes(made), s.held(made), made.operations) == (["PC409"], ["tea.csv"], ())
    beside = s.plan(scene, "declare", with_likely=True)
    assert s.targets(beside) == ["tea.primed.csv"]


def test_a_read_only_picture_keeps_its_name_in_place(tmp_path: Path) -> None:
    """Somebody locked it: it is held, not renamed; a second name beside it is fine."""
    s.pictures(tmp_path, "bowl.png")
    (tmp_path / "bowl.png").chmod(0o444)
    scene = s.gltf(tmp_path / "tea.gltf", ("bowl.png", "base_color"))
    assert s.held(s.plan(scene, in_place=True)) == ["bowl.png"]
    assert len(s.plan(scene).operations) == 2


def test_a_tile_wanted_under_two_names_is_held_in_place(tmp_path: Path) -> None:
    """A set read as colour with one tile read as data: the tile cannot have both names."""
    s.pictures(tmp_path, "tray.1001.png", "tray.1002.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"tray.<UDIM>.png,tray,base_color,rgb,{s.SRGB},",
        "tray.1001.png,board,roughness,r,data,",
    )
    made = s.plan(scene, in_place=True)
    assert len(made.held) == 1
    sources = [source for kind, source, _ in s.told(made.operations) if kind == "rename_image"]
    assert len(sources) == len(set(sources))
    workflow.apply(made)
    assert workflow.survey(scene, workers=1).findings == ()
