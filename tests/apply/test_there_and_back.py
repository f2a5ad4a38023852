from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.apply.worlds import KINDS, World
from tests.plan import small as s

from primecoat import workflow
from primecoat.apply.journal import read_runs
from primecoat.cli.main import run as command
from primecoat.documents import dumps

NewWorld = Callable[[str], World]


def originals_are_there(before: dict[str, bytes | str], folder: Path) -> bool:
    """Whether every byte of the artist's still stands under some name, or was kept."""
    here = list(s.content(folder).values())
    here += [kept.read_bytes() for kept in folder.glob(".primecoat/before/*")]
    return all(data in here for data in before.values())


@pytest.mark.parametrize("kind", KINDS)
def test_undo_restores_every_byte_and_every_time(new_world: NewWorld, kind: str) -> None:
    """Apply changes the folder and loses nothing; undo gives names, bytes, times and links back."""
    world = new_world(kind)
    before, times = s.content(world.folder), s.times(world.folder)
    done = workflow.apply(world.plan)
    assert len(done) == len(world.plan.operations)
    after = s.content(world.folder)
    assert after != before
    assert originals_are_there(before, world.folder)
    if not world.plan.in_place:
        assert {name: after[name] for name in before} == before
        assert {name: s.times(world.folder)[name] for name in times} == times
    assert len(workflow.undo(world.plan.target)) == len(done)
    assert (s.content(world.folder), s.times(world.folder)) == (before, times)


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_plan_twice_and_a_new_plan_do_nothing(new_world: NewWorld, kind: str) -> None:
    """Once done, plan and apply find nothing to do, through the command line too."""
    world = new_world(kind)
    workflow.apply(world.plan)
    after, times = s.content(world.folder), s.times(world.folder)
    journal = (world.plan.home / ".primecoat" / "journal.jsonl").read_bytes()
    assert workflow.apply(world.plan) == ()
    again = s.plan(world.plan.target, world.plan.route, in_place=world.plan.in_place)
    assert (again.operations, again.held) == ((), ())
    plan_file = world.folder.parent / "plan.json"
    plan_file.write_text(dumps(world.plan.as_document({})), encoding="utf-8")
    assert command(["apply", str(plan_file)]) == 0
    assert (s.content(world.folder), s.times(world.folder)) == (after, times)
    assert (world.plan.home / ".primecoat" / "journal.jsonl").read_bytes() == journal


@pytest.mark.parametrize("kind", KINDS)
def test_there_and_back_and_there_again(new_world: NewWorld, kind: str) -> None:
    """A plan that was taken back can be carried out again, with the same result."""
    world = new_world(kind)
    before = s.content(world.folder)
    workflow.apply(world.plan)
    after = s.content(world.folder)
    workflow.undo(world.plan.target)
    workflow.apply(world.plan)
    assert s.content(world.folder) == after
    workflow.undo(world.plan.target)
    assert s.content(world.folder) == before


@pytest.mark.parametrize("kind", ["tag", "tag in place", "declare in place", "bake"])
@pytest.mark.parametrize("how", ["move", "copy with its links", "copy"])
def test_undo_works_where_the_folder_is_now(new_world: NewWorld, kind: str, how: str) -> None:
    """A primed folder that was moved or copied can be taken back there."""
    world = new_world(kind)
    before = s.content(world.folder)
    workflow.apply(world.plan)
    new = world.folder.with_name("elsewhere")
    if how == "move":
        world.folder.rename(new)
    else:
        shutil.copytree(world.folder, new, symlinks=True)
    if how == "copy with its links":
        for path in new.rglob("*.png"):
            twin = world.folder / path.relative_to(new)
            first = next(p for p in sorted(world.folder.rglob("*.png")) if p.samefile(twin))
            other = new / first.relative_to(world.folder)
            if other != path and not path.is_symlink() and not first.is_symlink():
                path.unlink()
                path.hardlink_to(other)
    workflow.undo(new / world.plan.target.relative_to(world.folder))
    assert s.content(new) == before


def test_the_journal_says_how_each_name_was_made(new_world: NewWorld) -> None:
    """Method, device and inode are those of the file itself; a link shares them with its source."""
    world = new_world("tag")
    done = workflow.apply(world.plan)
    (run,) = read_runs(world.plan.home)
    assert (run.stands, run.open, len(run.steps)) == (True, False, len(done))
    for step, entry in zip(run.steps, done, strict=True):
        facts = (world.folder / step.operation["target"]).stat()
        assert (step.device, step.inode) == (facts.st_dev, facts.st_ino)
        assert step.method == entry.method
        if step.operation["do"] == "link_image":
            source = world.folder / step.operation["source"]
            assert step.method in ("hard link", "reflink")
            shared = source.stat().st_ino == step.inode
            assert shared == (step.method == "hard link")


def test_the_command_line_lists_what_went_where(
    new_world: NewWorld, capsys: pytest.CaptureFixture[str]
) -> None:
    """`apply --dry-run` lists and changes nothing; `apply --json` lists what was done."""
    world = new_world("tag")
    plan_file = world.folder.parent / "plan.json"
    plan_file.write_text(dumps(world.plan.as_document({})), encoding="utf-8")
    before = s.content(world.folder)
    assert command(["apply", str(plan_file), "--dry-run", "--json"]) == 0
    dry = json.loads(capsys.readouterr().out)
    assert s.content(world.folder) == before
    assert not (world.folder / ".primecoat").exists()
    assert command(["apply", str(plan_file), "--json"]) == 0
    wet = json.loads(capsys.readouterr().out)
    assert [o["target"] for o in dry["operations"]] == [o["target"] for o in wet["operations"]]
    assert {o["method"] for o in dry["operations"]} == {"not done"}
    assert all((world.folder / o["target"]).exists() for o in wet["operations"])
    assert command(["undo", str(plan_file)]) == 0
    assert s.content(world.folder) == before


def test_a_newer_run_is_taken_back_first(tmp_path: Path) -> None:
    """Two runs on one scene: undo takes the newest, then the one before, then says there is none.

    Each undo restores exactly what stood before that run.
    """
    s.pictures(tmp_path, "bowl.png", "sky.png")
    scene = s.sheet(
        tmp_path / "tea.csv",
        f"bowl.png,a,base_color,rgb,{s.SRGB},",
        "sky.png,sky,environment,rgb,,",
    )
    states = [s.content(tmp_path)]
    workflow.apply(s.plan(scene))
    states.append(s.content(tmp_path))
    workflow.decide(workflow.survey(scene, workers=1), "sky.png", s.SRGB)
    workflow.apply(s.plan(scene))
    assert s.content(tmp_path) not in states
    workflow.undo(scene)
    assert s.content(tmp_path) == states[1]
    workflow.undo(tmp_path / "tea.primed.csv")
    assert s.content(tmp_path) == states[0]
    assert command(["undo", str(scene)]) == 2


def test_names_with_odd_characters_come_back(tmp_path: Path) -> None:
    """Line feeds, spaces, quotes and letters of other scripts in names do no harm anywhere."""
    names = ["tex\nn.png", "a b'c\".png", "Käse–壺.png", "-rf.png", "%20.png", "{}[].png"]
    if os.name == "nt":
        pytest.skip("such names cannot be there")
    s.pictures(tmp_path, *names)
    scene = s.gltf(tmp_path / "tea.gltf", *((s.spelled(name), "normal") for name in names))
    before = s.content(tmp_path)
    workflow.apply(s.plan(scene))
    new = workflow.survey(tmp_path / "tea.primed.gltf", verify=True, workers=1)
    assert len(new.readings.images) == len(names)
    assert workflow.gate(new).open
    workflow.undo(scene)
    assert s.content(tmp_path) == before
