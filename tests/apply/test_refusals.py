"""What apply and undo will not do, and that they leave everything as it is then."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute, journal
from primecoat.documents import dumps
from primecoat.errors import InputError, RefusedError
from primecoat.plan.operations import LinkImage, as_document

NewWorld = Callable[[str], World]


def refused(act: Callable[[], object], folder: Path, match: str) -> None:
    """Hold that an act is refused with these words and changes nothing."""
    before = s.content(folder), s.times(folder)
    with pytest.raises(RefusedError, match=match):
        act()
    assert (s.content(folder), s.times(folder)) == before


# --- apply


@pytest.mark.parametrize("what", ["picture", "scene", "gone", "taken", "taken by a link"])
def test_a_scene_that_changed_after_the_plan_is_left_alone(new_world: NewWorld, what: str) -> None:
    """A changed picture or scene, a file that is gone, a name that was taken: nothing is done."""
    world = new_world("tag")
    tex = world.folder / "tex"
    match = "changed since"
    if what == "picture":
        (tex / "rough.png").write_bytes(s.png(8))
    elif what == "scene":
        (world.folder / "tea.gltf").write_text((world.folder / "tea.gltf").read_text() + " ")
    elif what == "gone":
        (tex / "rough.png").unlink()
        match = "Nothing was changed"
    elif what == "taken":
        (tex / "rough_data.png").write_bytes(b"mine")
        match = "is taken"
    else:
        (tex / "rough_data.png").symlink_to("nowhere")
        match = "is taken"
    refused(lambda: workflow.apply(world.plan), world.folder, match)
    assert not (world.folder / ".primecoat" / "journal.jsonl").exists()


@pytest.mark.parametrize("kind", ["tag", "tag in place", "bake", "declare in place"])
def test_a_file_replaced_while_the_plan_is_carried_out_stops_it(
    new_world: NewWorld, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A save by the artist after the check is seen before the file is touched, and can go back."""
    world = new_world(kind)
    before = s.content(world.folder)
    last = world.plan.operations[-1 if kind == "declare in place" else -2]
    victim = world.folder / as_document(last).get("source", "tex/rough.png")
    if kind == "tag":
        victim = world.folder / "tex" / "rough.png"
    saved = victim.read_bytes() + b" " if victim.suffix == ".csv" else s.png(8)
    append = journal.append
    calls: list[str] = []

    def save_meanwhile(*arguments: Any, **facts: Any) -> None:
        append(*arguments, **facts)
        if not calls:
            victim.unlink()
            victim.write_bytes(saved)
        calls.append(arguments[2])

    monkeypatch.setattr(journal, "append", save_meanwhile)
    with pytest.raises(RefusedError):
        workflow.apply(world.plan)
    monkeypatch.undo()
    assert victim.read_bytes() == saved
    workflow.recover(world.plan.target, back=True)
    name = victim.relative_to(world.folder).as_posix()
    assert s.content(world.folder) == before | {name: saved}


def test_a_new_scene_edited_while_it_is_written_anew_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An edit of the earlier result, made after the check, is not written over."""
    s.pictures(tmp_path, "bowl.png", "sky.png")
    rows = [f"bowl.png,a,base_color,rgb,{s.SRGB},", "sky.png,sky,environment,rgb,,"]
    scene, new = s.sheet(tmp_path / "tea.csv", *rows), tmp_path / "tea.primed.csv"
    workflow.apply(s.plan(scene))
    workflow.decide(workflow.survey(scene, workers=1), "sky.png", s.SRGB)
    plan = s.plan(scene)
    saved = new.read_bytes() + b",,,,,\n"
    append = journal.append

    def save_meanwhile(*arguments: Any, **facts: Any) -> None:
        append(*arguments, **facts)
        new.write_bytes(saved)

    monkeypatch.setattr(journal, "append", save_meanwhile)
    with pytest.raises(RefusedError, match="changed while"):
        workflow.apply(plan)
    assert new.read_bytes() == saved


def test_a_before_image_is_kept_only_if_it_is_what_was_checked(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A save between the check and the keeping is not filed under the old hash."""
    world = new_world("declare in place")
    scene = world.plan.target
    saved = scene.read_bytes() + b",,,,,\n"
    keep = journal.keep

    def save_meanwhile(path: Path, data: bytes, **facts: Any) -> None:
        keep(path, data, **facts)
        scene.write_bytes(saved)

    monkeypatch.setattr(execute, "keep", save_meanwhile)
    with pytest.raises(RefusedError, match="changed a moment ago"):
        workflow.apply(world.plan)
    assert scene.read_bytes() == saved
    assert not (world.folder / ".primecoat" / "before").exists()
    assert not (world.folder / ".primecoat" / "journal.jsonl").exists()


# --- plans edited by hand


def edited(world: World, field: str, value: str) -> Callable[[], object]:
    """Return the act of applying the plan file with the first such field of a plan edited."""
    path = world.folder.parent / "plan.json"
    document = world.plan.as_document({})
    next(o for o in document["operations"] if field in o)[field] = value
    path.write_text(dumps(document), encoding="utf-8")
    return lambda: workflow.apply(path)


@pytest.mark.parametrize(
    "target",
    [
        "../stolen.png",
        "tex/../../stolen.png",
        "/primecoat_stolen.png",
        ".primecoat/stolen.png",
        "tex/.PRIMECOAT/stolen.png",
        "",
        ".",
        "tex/a\x00b.png",
        "out/stolen.png",
    ],
)
@pytest.mark.parametrize("field", ["target", "source", "scene"])
def test_a_plan_cannot_reach_out_of_its_root(new_world: NewWorld, field: str, target: str) -> None:
    """Operations may neither write nor read outside the root, nor in the state folder."""
    world = new_world("tag")
    outside = world.folder.parent / "stolen.png"
    outside.write_bytes(s.png(0))
    (world.folder / "out").symlink_to("..", target_is_directory=True)
    act = edited(world, field, target)
    refused(act, world.folder, "lies outside")
    left = sorted(path.name for path in world.folder.parent.iterdir())
    assert left == ["plan.json", "scene", "stolen.png"]


def test_a_root_that_does_not_hold_the_target_is_refused(new_world: NewWorld) -> None:
    """A plan with another root, a relative one or one with dots is not carried out."""
    world = new_world("tag")
    for root in (world.folder / "tex", Path("/nowhere"), Path(), world.folder / "tex" / ".."):
        plan = replace(world.plan, root=root)
        refused(lambda plan=plan: workflow.apply(plan), world.folder, "plan")  # type: ignore[misc]
    moved = replace(world.plan, target=world.folder / "gone" / "tea.gltf")
    refused(lambda: workflow.apply(moved), world.folder, "is not there")
    assert not (world.folder / ".primecoat").exists()


def test_a_plan_file_may_lie_anywhere(new_world: NewWorld, tmp_path: Path) -> None:
    """Moved to another folder it does what it did; a folder moved away is refused by name."""
    world = new_world("tag")
    path = tmp_path / "plans" / "mine.json"
    path.parent.mkdir()
    path.write_text(dumps(world.plan.as_document({})), encoding="utf-8")
    assert len(workflow.apply(path)) == len(world.plan.operations)
    workflow.undo(path)
    world.folder.rename(tmp_path / "moved")
    with pytest.raises(RefusedError, match="is not there"):
        workflow.apply(path)


def test_a_folder_swapped_for_a_link_is_refused(new_world: NewWorld, tmp_path: Path) -> None:
    """If a folder of the scene became a link to one outside, nothing is written there."""
    world = new_world("tag")
    (world.folder / "tex").rename(tmp_path / "library")
    (world.folder / "tex").symlink_to(tmp_path / "library", target_is_directory=True)
    refused(lambda: workflow.apply(world.plan), tmp_path, "lies outside")


def test_a_plan_that_writes_one_file_twice_is_refused(new_world: NewWorld) -> None:
    """Such a plan, written by hand, could be taken back only by halves."""
    world = new_world("tag")
    first = next(o for o in world.plan.operations if isinstance(o, LinkImage))
    plan = replace(world.plan, operations=(first, replace(first, source="tex/link.png")))
    refused(lambda: workflow.apply(plan), world.folder, "write one file")


def test_a_journal_that_leads_out_is_not_followed(new_world: NewWorld) -> None:
    """Undo reads the journal; a root or a target outside is refused there as well."""
    world = new_world("tag")
    outside = world.folder.parent / "precious.png"
    workflow.apply(world.plan)
    outside.write_bytes(s.png(0))
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    text = lines_file.read_text()
    target = json.dumps(world.plan.operations[0].target)
    for old, new in ((target, '"../precious.png"'), ('"root":"."', '"root":"tex"')):
        assert old in text
        lines_file.write_text(text.replace(old, new))
        refused(lambda: workflow.undo(world.plan.target), world.folder, "outside|does not hold")
    assert outside.read_bytes() == s.png(0)


# --- undo


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


# --- the journal


def test_a_torn_last_line_is_cut_and_a_damaged_one_inside_is_an_error(
    new_world: NewWorld,
) -> None:
    """A crash tears the end only; damage elsewhere is named by its line, and nothing is done."""
    world = new_world("tag")
    before = s.content(world.folder)
    workflow.apply(world.plan)
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    whole = lines_file.read_bytes()
    lines = whole.splitlines(keepends=True)
    for damaged in (
        b"{}\n",
        b"[]\n",
        b"7\n",
        b"\xff\xfe\n",
        lines[2][: len(lines[2]) // 2] + b"\n",
    ):
        lines_file.write_bytes(b"".join((*lines[:2], damaged, *lines[3:])))
        for act in (workflow.undo, workflow.recover, s.plan):
            with pytest.raises(InputError, match=r"Line 3 of the journal"):
                act(world.plan.target)
    assert s.content(world.folder) != before
    for cut in range(1, len(lines[-1]) + 1):
        lines_file.write_bytes(whole[: len(whole) - cut])
        assert workflow.recover(world.plan.target).outcome == "finished"
        assert lines_file.read_bytes() == whole
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before


def test_a_torn_line_harms_neither_reading_nor_the_next_run(new_world: NewWorld) -> None:
    """Right after a crash in its first line a plan can be made, the gate read, the plan applied."""
    world = new_world("tag")
    workflow.apply(world.plan)
    lines_file = world.folder / ".primecoat" / "journal.jsonl"
    first = lines_file.read_bytes().splitlines(keepends=True)[0]
    workflow.undo(world.plan.target)
    for cut in (1, len(first) // 2, len(first) - 2):
        lines_file.write_bytes(first[:-cut])
        again = s.plan(world.plan.target)
        assert again.operations == world.plan.operations
        assert len(workflow.apply(again)) == len(again.operations)
        assert lines_file.read_bytes().count(b'"begin"') == 1
        assert workflow.gate(
            workflow.survey(world.folder / "tea.primed.gltf", verify=True, workers=1)
        ).open
        workflow.undo(world.plan.target)


def test_a_kept_plan_that_was_edited_is_not_finished(
    new_world: NewWorld, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Recovery finishes the plan that was begun and no other; going back needs no plan."""
    world = new_world("tag")
    before = s.content(world.folder)
    monkeypatch.setattr(execute, "create_bytes", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        workflow.apply(world.plan)
    monkeypatch.undo()
    (kept,) = (world.folder / ".primecoat" / "plans").iterdir()
    kept.write_text(kept.read_text().replace("tea.primed.gltf", "mine.gltf"))
    refused(lambda: workflow.recover(world.plan.target), world.folder, "not the one")
    workflow.recover(world.plan.target, back=True)
    assert s.content(world.folder) == before
