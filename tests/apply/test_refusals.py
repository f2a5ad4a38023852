"""What apply will not do, and that it leaves everything as it is then."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.apply.refusals import NewWorld, refused
from tests.apply.worlds import World
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply import execute, journal
from primecoat.documents import dumps
from primecoat.errors import RefusedError
from primecoat.plan.operations import LinkImage, as_document


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
