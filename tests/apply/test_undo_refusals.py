"""What undo will not do: it takes away no file that was changed since, and no last copy."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute
from primecoat.errors import RefusedError
from primecoat.plan.operations import as_document


def test_undo_leaves_a_file_that_was_changed(new_world: NewWorld) -> None:
    """A new scene that was edited stays; moved away as the message says, undo goes on."""
    world = new_world("tag")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    new = world.folder / "tea.primed.gltf"
    new.write_text(new.read_text() + "\n")
    refused(lambda: workflow.undo(world.plan.target), world.folder, "primed.gltf has changed")
    mine = new.rename(world.folder.parent / "mine.gltf")
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before
    assert mine.exists()


def test_undo_of_a_scene_rewritten_in_place_that_was_changed(new_world: NewWorld) -> None:
    """It stays; once it is moved away the kept original comes back under its name."""
    world = new_world("declare in place")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    scene = world.plan.target
    scene.write_text(scene.read_text() + ",,,,,\n")
    refused(lambda: workflow.undo(scene), world.folder, "has changed")
    scene.rename(world.folder.parent / "mine.csv")
    workflow.undo(scene)
    assert s.content(world.folder) == before


def test_undo_of_a_renamed_picture_that_was_changed(new_world: NewWorld) -> None:
    """It stays; once it has its old name again by hand, undo goes on and keeps the change."""
    world = new_world("tag in place")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    renamed = world.folder / "tex" / f"bowl_{s.SRGB}.png"
    renamed.unlink()
    renamed.write_bytes(s.png(8))
    refused(lambda: workflow.undo(world.plan.target), world.folder, r"old name tex/bowl\.png")
    renamed.rename(world.folder / "tex" / "bowl.png")
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before | {"tex/bowl.png": s.png(8)}


def test_undo_does_not_rename_over_a_file_that_came_back(new_world: NewWorld) -> None:
    """A file under the old name is not the renamed one and is not written over."""
    world = new_world("tag in place")
    workflow.apply(world.plan)
    (world.folder / "tex" / "bowl.png").write_bytes(s.png(8))
    refused(lambda: workflow.undo(world.plan.target), world.folder, "is there again")


@pytest.mark.parametrize("kind", ["other bytes", "link to the original", "folder", "dangling"])
def test_undo_leaves_what_took_the_place_of_a_name(new_world: NewWorld, kind: str) -> None:
    """A file, link or folder that primecoat did not make is not removed."""
    world = new_world("tag")
    workflow.apply(world.plan)
    name = world.folder / "tex" / "rough_data.png"
    name.unlink()
    if kind == "other bytes":
        name.write_bytes(s.png(8))
    elif kind == "folder":
        name.mkdir()
    else:
        name.symlink_to("rough.png" if kind != "dangling" else "nowhere")
    refused(lambda: workflow.undo(world.plan.target), world.folder, "has changed|another file")


def test_undo_removes_a_link_whose_bytes_were_changed_through_it(new_world: NewWorld) -> None:
    """A save in place through the new name changes the original too: undo keeps that change."""
    world = new_world("tag")
    workflow.apply(world.plan)
    original, name = (world.folder / "tex" / n for n in ("rough.png", "rough_data.png"))
    if not original.samefile(name):
        pytest.skip("this file system made no hard link")
    with name.open("r+b") as stream:
        stream.write(s.png(8))
    saved = name.read_bytes()
    workflow.undo(world.plan.target)
    assert not name.exists()
    assert original.read_bytes() == saved


@pytest.mark.parametrize("kind", ["tag", "tag embedded", "bake", "declare"])
def test_the_last_copy_survives_undo(new_world: NewWorld, kind: str) -> None:
    """If an original was deleted, what was made from it stays: picture, extract, bake or scene."""
    for number in range(len(new_world(kind).plan.operations)):
        world = new_world(kind)
        workflow.apply(world.plan)
        document = as_document(world.plan.operations[number])
        (world.folder / document.get("source", document.get("scene", ""))).unlink()
        refused(lambda: workflow.undo(world.plan.target), world.folder, "last copy")  # noqa: B023


def test_a_link_to_the_last_copy_is_no_original(new_world: NewWorld) -> None:
    """An original that was replaced by a link to the new name does not count as one."""
    world = new_world("tag")
    workflow.apply(world.plan)
    original = world.folder / "tex" / "rough.png"
    original.unlink()
    original.symlink_to("rough_data.png")
    refused(lambda: workflow.undo(world.plan.target), world.folder, "last copy")


def test_old_bytes_of_a_picture_saved_anew_survive_undo(new_world: NewWorld) -> None:
    """A save that replaces the original leaves its old bytes under the new name only: kept."""
    world = new_world("tag")
    workflow.apply(world.plan)
    original, name = (world.folder / "tex" / n for n in ("rough.png", "rough_data.png"))
    old = original.read_bytes()
    original.unlink()
    original.write_bytes(s.png(8))
    refused(lambda: workflow.undo(world.plan.target), world.folder, "last copy")
    name.rename(world.folder.parent / "old.png")
    workflow.undo(world.plan.target)
    assert (original.read_bytes(), old) == (
        s.png(8),
        (world.folder.parent / "old.png").read_bytes(),
    )


@pytest.mark.parametrize("how", ["gone", "damaged"])
def test_undo_needs_the_kept_original(new_world: NewWorld, how: str) -> None:
    """Without the before-image nothing is taken back; with it restored, all is."""
    world = new_world("tag embedded in place")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    (kept,) = (world.folder / ".primecoat" / "before").iterdir()
    data = kept.read_bytes()
    kept.unlink()
    if how == "damaged":
        kept.write_bytes(data[:-1])
    refused(lambda: workflow.undo(world.plan.target), world.folder, "missing")
    kept.write_bytes(data)
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before


@pytest.mark.parametrize("apart", [False, True], ids=["one folder", "two folders"])
def test_names_that_another_primed_scene_uses_are_not_taken_away(
    tmp_path: Path, apart: bool
) -> None:
    """The first scene's names stay while the second, primed later, uses them."""
    s.pictures(tmp_path, "tex/shared.png")
    folders = [tmp_path / "one", tmp_path / "two"] if apart else [tmp_path, tmp_path]
    scenes = []
    for folder, name in zip(folders, ("one.gltf", "two.gltf"), strict=True):
        folder.mkdir(exist_ok=True)
        uri = "../tex/shared.png" if apart else "tex/shared.png"
        scenes.append(s.gltf(folder / name, (uri, "base_color")))
    before = s.content(tmp_path)
    for scene in scenes:
        workflow.apply(s.plan(scene))
    refused(lambda: workflow.undo(scenes[0]), tmp_path, r"two\.primed\.gltf uses")
    workflow.undo(scenes[1])
    workflow.undo(scenes[0])
    assert s.content(tmp_path) == before


def test_undo_of_a_run_cut_short_asks_for_recovery(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither apply nor undo touches a scene whose last run did not end."""
    world = new_world("tag")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(execute, "create_bytes", full)
    with pytest.raises(RefusedError, match="No space left on device"):
        workflow.apply(world.plan)
    monkeypatch.undo()
    refused(lambda: workflow.undo(world.plan.target), world.folder, "recover")
    refused(lambda: workflow.apply(world.plan), world.folder, "recover")
    assert workflow.recover(world.plan.target).outcome == "finished"
    assert workflow.recover(world.plan.target).outcome == "nothing to do"
